// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "tests/network/random_networks.hpp"

#include "corefeed/network/certificate.hpp"

/// How a random network ends, and whether what it says is true.
namespace corefeed::network::testing {

enum class Ending {
  solved,  ///< with all balances closed
  reason,  ///< without a solution, for a named reason that was checked here
  failed   ///< neither
};

struct Surveyed {
  Ending ending = Ending::failed;
  std::string reason;  ///< its kind
  std::string words;   ///< what the solution says
  double residual = 0;
  double seconds = 0;
  int steps = 0;
  int points = 1;  ///< operating points found
};

/// Which networks: all that is random, the same without heat, or monotone ones.
enum class Family { all, unheated, monotone };

/// The network of a seed.
cooling::Case case_of(Family family, std::uint64_t seed);

/// Solves and judges a network; the search for further operating points takes half of the time.
Surveyed survey_case(const cooling::Case& problem, bool look_for_others = true);

}  // namespace corefeed::network::testing
