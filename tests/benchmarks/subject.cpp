// SPDX-License-Identifier: Apache-2.0
#include "tests/benchmarks/subject.hpp"

#include <algorithm>
#include <cmath>

namespace corefeed::benchmarks {
namespace {

std::shared_ptr<network::Network> connected(const cooling::Case& problem) {
  auto net = std::make_shared<network::Network>(problem.network);
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    net->elements[e].coupled = problem.loop_of[e] != network::none;
  }
  network::connect_neighbors(*net);
  return net;
}

network::Assembly assembled(const cooling::Case& problem, std::shared_ptr<network::Network> net) {
  network::Assembly assembly = network::assemble(std::move(net));
  cooling::add_loops(problem, assembly);
  return assembly;
}

}  // namespace

Subject::Subject(cooling::Case problem, network::Moving moving)
    : problem_(std::move(problem)),
      network_(connected(problem_)),
      speed_(network_->outside.speed),
      assembly_(assembled(problem_, network_)),
      work_(assembly_.system, moving),
      newton_(work_) {
  for (const network::Unknown& unknown : assembly_.system.unknowns()) start_.push_back(unknown.start);
  if (!moving.heat) return;
  for (const bool flow : {true, false}) {
    parts_.push_back(std::make_unique<Part>(assembly_.system, network::Moving{.flow = flow, .heat = !flow}));
  }
}

bool Subject::solve(std::span<double> x) {
  // Ours goes on to a hundredth of its tolerance: the others' limit.
  const network::Newton::Ended ended = newton_.run(x, {.tolerance = 100.0 * enough});
  iterations_ = ended.iterations;
  return ended.converged();
}

bool Subject::solve_from_start(std::span<double> x) {
  int before = 0;
  constexpr double rough = 1e-2;
  for (const auto& part : parts_) before += part->newton.run(x, {.tolerance = rough}).iterations;
  const bool converged = solve(x);
  iterations_ += before;
  return converged;
}

void Subject::change_speed(bool faster) {
  losses::Surroundings& outside = network_->outside;
  const double speed = faster ? speed_ * std::sqrt(1.01) : speed_;
  outside = losses::surroundings_of(outside.air, outside.pressure, outside.temperature, speed, outside.yaw);
}

double Subject::difference(std::span<const double> a, std::span<const double> b) const {
  double largest = 0.0;
  for (const int unknown : work_.unknowns()) {
    const auto j = static_cast<std::size_t>(unknown);
    largest = std::max(largest, std::abs(a[j] - b[j]) / assembly_.system.unknowns()[j].scale);
  }
  return largest;
}

cooling::Case without_heat(network::Network network) {
  cooling::Case problem;
  problem.loop_of.assign(network.elements.size(), network::none);
  problem.network = std::move(network);
  return problem;
}

}  // namespace corefeed::benchmarks
