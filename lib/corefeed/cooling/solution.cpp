// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/solution.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/cooling/quantities.hpp"
#include "corefeed/network/solver.hpp"

namespace corefeed::cooling {

struct Solution::Internals {
  Solved solved;
};

namespace {

std::vector<double> starts(const network::System& system) {
  std::vector<double> x;
  x.reserve(system.unknowns().size());
  for (const network::Unknown& unknown : system.unknowns()) x.push_back(unknown.start);
  return x;
}

/// Why heat finds no balance: a core through which the air stands still cannot cool its loop. Found by
/// solving the flow without heating.
std::string standstill(const Case& problem, const SolveOptions& options) {
  Case cold = problem;
  cold.loops.clear();
  cold.loop_of.assign(problem.loop_of.size(), network::none);
  if (problem.loops.empty()) return "";
  const Solution unheated = solve(cold, options);
  if (!unheated.converged) return "";
  double largest = 0.0;
  for (const ElementState& state : unheated.elements) largest = std::max(largest, std::abs(state.flow));
  std::string text;
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    const double flow = unheated.elements[e].flow;
    if (problem.loop_of[e] == network::none || std::abs(flow) > 0.02 * largest) continue;
    text += fmt::format(
        "; the air through {} stands nearly still ({:.4f} kg/s without heating), so the loop {} has no "
        "steady temperature",
        problem.network.elements[e].name, flow,
        problem.loops[static_cast<std::size_t>(problem.loop_of[e])].name);
  }
  return text;
}

void fill_states(const Solved& solved, Solution& solution) {
  const network::Network& net = solved.problem.network;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    solution.elements.push_back(element_state(solved, static_cast<int>(e)));
  }
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    solution.nodes.push_back({solved.x[static_cast<std::size_t>(solved.assembly.places.pressure[n])],
                              solved.x[static_cast<std::size_t>(solved.assembly.places.temperature[n])]});
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    solution.loops.push_back(loop_state(solved, static_cast<int>(l)));
  }
  solution.car = car_state(solved);
}

}  // namespace

Solution solve(const Case& problem, const SolveOptions& options) {
  auto internals = std::make_shared<Solution::Internals>();
  Solved& solved = internals->solved;
  solved.problem = problem;
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    solved.problem.network.elements[e].coupled = problem.loop_of[e] != network::none;
  }
  network::connect_neighbors(solved.problem.network);
  solved.assembly = network::assemble(std::make_shared<const network::Network>(solved.problem.network));
  solved.loops = add_loops(solved.problem, solved.assembly);
  const network::Solved ended =
      network::solve(solved.assembly.system, starts(solved.assembly.system),
                     {.tolerance = options.tolerance, .most_iterations = options.most_iterations});
  solved.x = ended.x;
  Solution solution;
  solution.converged = ended.converged();
  solution.residual = ended.residual;
  solution.iterations = ended.iterations;
  solution.explanation = network::explain(ended);
  if (!solution.converged) solution.explanation += standstill(problem, options);
  fill_states(solved, solution);
  solution.internals_ = std::move(internals);
  return solution;
}

std::optional<double> Solution::value(std::string_view quantity) const {
  if (!internals_) return std::nullopt;
  const auto function = quantity_function(internals_->solved, quantity);
  if (!function) return std::nullopt;
  return network::evaluate(*function, internals_->solved.x, internals_->solved.assembly.system.parameters());
}

std::vector<Parameter> Solution::gradient(std::string_view quantity) const {
  std::vector<Parameter> list;
  if (!internals_) return list;
  const Solved& solved = internals_->solved;
  const auto function = quantity_function(solved, quantity);
  if (!function) return list;
  const std::vector<double> slopes = network::gradient(solved.assembly.system, solved.x, *function);
  if (slopes.empty()) return list;
  const auto& parts = solved.problem.network.elements;
  for (std::size_t e = 0; e < parts.size(); ++e) {
    for (std::size_t key = 0; key < parts[e].numbers.size(); ++key) {
      const auto place = static_cast<std::size_t>(solved.assembly.places.parameter[e]) + key;
      list.push_back({Parameter::Owner::element, static_cast<int>(e), key, slopes[place]});
    }
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    const int loop = static_cast<int>(l);
    list.push_back({Parameter::Owner::loop, loop, 0, slopes[static_cast<std::size_t>(solved.loops.flow[l])]});
    list.push_back(
        {Parameter::Owner::loop, loop, 1, slopes[static_cast<std::size_t>(solved.loops.given(l))]});
  }
  return list;
}

}  // namespace corefeed::cooling
