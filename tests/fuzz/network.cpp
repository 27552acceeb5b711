// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "corefeed/cooling/solution.hpp"
#include "tests/fuzz/nested_roots.hpp"
#include "tests/fuzz/oracle.hpp"
#include "tests/network/random_networks.hpp"

/// Networks made of bytes: an answer carries a certificate that holds, whatever else is told by name. Where
/// all losses rise with their flow there is one answer, which must be found, whatever the order of the
/// elements, and is compared with a slow second way. The first byte chooses the family and how large.
namespace corefeed::fuzz {
namespace {

using cooling::Case;
using cooling::Solution;

/// Of the largest flow: the second way finds pressures to the last digits, and near no flow at all the square
/// root of those is what a flow is known to.
constexpr double same_flow = 1e-5;

/// Of the largest pressure. Flows through next to no loss are known no better than the pressures that drive
/// them, and those to what a certificate asks of both answers.
constexpr double same_pressure = 4.0 * network::Certificate::limit;

void require_told(const Solution& solution) {
  require(!solution.converged || solution.certificate.met(), "an answer carries a certificate that holds");
  require(solution.converged == (solution.ending == cooling::Ending::solved), "an ending says what it is");
  require(solution.converged || !solution.explanation.empty(), "what is no answer is told in words");
  for (const Solution& other : solution.further) require_told(other);
}

double largest(const Solution& solution) {
  double most = 1e-6;
  for (const cooling::ElementState& element : solution.elements)
    most = std::max(most, std::abs(element.flow));
  return most;
}

Case turned_round(const Case& problem) {
  Case turned = problem;
  std::reverse(turned.network.elements.begin(), turned.network.elements.end());
  std::reverse(turned.loop_of.begin(), turned.loop_of.end());
  const int last = static_cast<int>(turned.network.elements.size()) - 1;
  for (network::Element& element : turned.network.elements)
    for (int* other : {&element.feeds, &element.fed_by, &element.sibling})
      if (*other != network::none) *other = last - *other;
  return turned;
}

void require_found(const Solution& solution) {
  require(solution.converged || solution.ending == cooling::Ending::undetermined_flow,
          "a monotone network is solved");
}

void require_order_is_nothing(const Case& problem, const Solution& solution) {
  const std::size_t count = solution.elements.size();
  const Solution turned = cooling::solve(turned_round(problem), {.look_for_others = false});
  require(turned.ending == solution.ending, "the order of elements makes no difference to the ending");
  const double pressure = same_pressure * solution.certificate.pressure.scale;
  for (std::size_t e = 0; solution.converged && e < count; ++e) {
    const cooling::ElementState& one = solution.elements[e];
    const cooling::ElementState& other = turned.elements[count - 1 - e];
    require(std::abs(one.flow - other.flow) <= same_flow * largest(solution) ||
                std::abs(one.pressure_loss - other.pressure_loss) <= pressure,
            "the order of elements makes no difference to flows");
  }
}

void require_second_way(const Case& problem, const Solution& solution) {
  const auto second = solve_by_nested_roots(problem.network);
  const double pressure = same_pressure * solution.certificate.pressure.scale;
  for (std::size_t e = 0; second && e < second->flow.size(); ++e) {
    const double flow = solution.elements[e].flow;
    require(std::abs(flow - second->flow[e]) <= same_flow * largest(solution) ||
                std::abs(left_over(problem.network, *second, e, flow)) <= pressure,
            "a second way finds the same flows");
  }
}

}  // namespace

void run(std::string_view bytes) {
  if (bytes.empty()) return;
  const unsigned first = static_cast<unsigned char>(bytes.front());
  const bool monotone = (first & 1U) != 0;
  const int most_branches = (first & 2U) != 0 ? 4 : 10;
  const Case problem =
      network::testing::random_case(network::testing::Random(bytes.substr(1)), monotone, most_branches);
  require(network::check_topology(problem.network).empty(), "the maker makes sound networks");
  const Solution solution = cooling::solve(problem, {.look_for_others = (first & 12U) == 12U});
  require_told(solution);
  if (!monotone) return;
  require_found(solution);
  if ((first & 4U) != 0) require_order_is_nothing(problem, solution);
  if ((first & 4U) == 0 && solution.converged) require_second_way(problem, solution);
}

}  // namespace corefeed::fuzz
