// SPDX-License-Identifier: Apache-2.0
#include "tests/network/survey.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "corefeed/cooling/solution.hpp"
#include "corefeed/network/network.hpp"

namespace corefeed::network::testing {

namespace {

/// Whether some loop's cores, in the certified state with the loop at its highest temperature, really carry
/// off less than its heat load: from the flows and the temperatures of the air before and behind each core.
bool starves(const cooling::Case& problem, const cooling::Solution& solution) {
  const Network& net = problem.network;
  std::vector<double> given(problem.loops.size(), 0.0);
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    if (problem.loop_of[e] == none) continue;
    const double flow = solution.elements[e].flow;
    const int before = flow >= 0.0 ? net.elements[e].from : net.elements[e].to;
    const double leaving = solution.value(net.elements[e].name + ".air_temperature_out").value_or(0.0);
    given[static_cast<std::size_t>(problem.loop_of[e])] +=
        std::abs(flow) * net.outside.air.heat_capacity *
        (leaving - solution.nodes[static_cast<std::size_t>(before)].temperature);
  }
  for (std::size_t l = 0; l < given.size(); ++l) {
    if (solution.loops[l].temperature > 1999.0 && given[l] < problem.loops[l].heat_load) return true;
  }
  return false;
}

/// Whether screens that are all open, the only random elements without a loss, join two given pressures or
/// each other to a ring.
bool is_joined_without_loss(const Network& net) {
  std::vector<int> part(net.nodes.size());
  for (std::size_t n = 0; n < part.size(); ++n) {
    // All given pressures are one part: joined by anything they are joined twice.
    part[n] = net.nodes[n].kind == NodeKind::fixed_pressure ? -1 : static_cast<int>(n);
  }
  for (const Element& element : net.elements) {
    if (element.kind->name != "screen" || element.from == none || element.to == none) continue;
    const auto number = [&element](std::string_view key) {
      return element.numbers[losses::find_key(*element.kind, key)];
    };
    if (number("open_fraction") < 1.0 || number("clogging") > 0.0) continue;
    const int from = part[static_cast<std::size_t>(element.from)];
    const int to = part[static_cast<std::size_t>(element.to)];
    if (from == to) return true;
    std::replace(part.begin(), part.end(), from, to);
  }
  return false;
}

}  // namespace

Surveyed survey_case(const cooling::Case& problem, bool look_for_others) {
  Surveyed found;
  const std::vector<Issue> issues = check_topology(problem.network);
  if (!issues.empty()) {
    found.words = "the generator made an unsound network: " + issues.front().text;
    return found;
  }
  const auto begin = std::chrono::steady_clock::now();
  const cooling::Solution solution = cooling::solve(problem, {.look_for_others = look_for_others});
  found.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  found.words = solution.explanation;
  found.residual = solution.certificate.worst();
  found.steps = solution.iterations;
  found.points = static_cast<int>(1 + solution.further.size());
  if (solution.ending == cooling::Ending::undetermined_flow && is_joined_without_loss(problem.network)) {
    found.ending = Ending::reason;
    found.reason = "have elements without a loss between given pressures or in a ring";
  }
  if (!solution.certificate.met()) return found;
  if (solution.converged) found.ending = Ending::solved;
  if (solution.ending == cooling::Ending::no_steady_temperature && starves(problem, solution)) {
    found.ending = Ending::reason;
    found.reason = "have a loop without steady temperature: too little air through its cores";
  }
  return found;
}

cooling::Case case_of(Family family, std::uint64_t seed) {
  if (family == Family::monotone) return random_monotone_case(seed);
  cooling::Case problem = random_case(seed);
  if (family == Family::all) return problem;
  problem.loops.clear();
  problem.loop_of.assign(problem.loop_of.size(), none);
  return problem;
}

}  // namespace corefeed::network::testing
