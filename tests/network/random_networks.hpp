// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "corefeed/cooling/case.hpp"

/// Random networks that a model file could hold: the same seed gives the same network on every machine.
namespace corefeed::network::testing {

/// Numbers from a counter (SplitMix64: Steele, Lea & Flood 2014, OOPSLA); the standard library's
/// distributions differ between its makers.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}
  /// The first numbers are these bytes, two each, so that who changes a byte changes one decision; then as
  /// seeded by 0. The bytes have to live as long.
  explicit Random(std::string_view bytes) : state_(0), bytes_(bytes) {}
  std::uint64_t next();
  double between(double low, double high);      ///< even
  double log_between(double low, double high);  ///< even in the logarithm
  int count(int low, int high);                 ///< both ends included
  bool chance(double probability) { return between(0.0, 1.0) < probability; }

 private:
  std::uint64_t state_;
  std::string_view bytes_;
};

/// 5 to 60 branches of every kind that has a law: nodes of all kinds, chains, meshes, dead ends, balanced
/// bridges without flow, junctions, closed flaps, cracks of next to no area, coefficients over twelve
/// decades, fans in every state and with stall, cars at rest, cores heated by loops.
cooling::Case random_case(std::uint64_t seed);

/// The same without loops and without kinds whose loss may fall while a flow rises.
cooling::Case random_monotone_case(std::uint64_t seed);

/// Either kind of network from any random numbers, with at most so many branches (but for a bridge's and
/// junctions').
cooling::Case random_case(Random random, bool monotone, int most_branches);

/// One line for each element, to look at a network that failed.
std::string description(const cooling::Case& problem);

}  // namespace corefeed::network::testing
