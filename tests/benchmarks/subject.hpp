// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/coupling.hpp"
#include "corefeed/network/newton.hpp"
#include "tests/benchmarks/peers.hpp"

namespace corefeed::benchmarks {

/// A network's equations, set up to be solved again and again.
class Subject {
 public:
  Subject(cooling::Case problem, network::Moving moving);
  Subject(const Subject&) = delete;
  Subject& operator=(const Subject&) = delete;

  /// From x to a root by the library's own Newton's method.
  bool solve(std::span<double> x);
  /// The same from afar, as the solver does it: with heat, the flow and then the temperatures come first.
  bool solve_from_start(std::span<double> x);
  /// The other operating point, 1 % more dynamic head, or back.
  void change_speed(bool faster);

  network::Workspace& work() { return work_; }
  network::Assembly& assembly() { return assembly_; }
  const std::vector<double>& start() const { return start_; }
  int iterations() const { return iterations_; }
  /// Largest difference of two states, in the unknowns' typical sizes.
  double difference(std::span<const double> a, std::span<const double> b) const;

 private:
  cooling::Case problem_;
  std::shared_ptr<network::Network> network_;
  double speed_;
  network::Assembly assembly_;
  network::Workspace work_;
  network::Newton newton_;
  /// Flow and heat each alone, where both move: what goes first.
  struct Part {
    network::Workspace work;
    network::Newton newton;
    Part(const network::System& system, network::Moving moving) : work(system, moving), newton(work) {}
  };
  std::vector<std::unique_ptr<Part>> parts_;
  std::vector<double> start_;
  int iterations_ = 0;
};

cooling::Case without_heat(network::Network network);

}  // namespace corefeed::benchmarks
