// SPDX-License-Identifier: Apache-2.0
#include "tests/network/survey.hpp"

#include <chrono>
#include <cmath>

#include "corefeed/cooling/solution.hpp"
#include "corefeed/network/network.hpp"

namespace corefeed::network::testing {

Surveyed survey_case(const cooling::Case& problem) {
  Surveyed found;
  const std::vector<Issue> issues = check_topology(problem.network);
  if (!issues.empty()) {
    found.words = "the generator made an unsound network: " + issues.front().text;
    return found;
  }
  const auto begin = std::chrono::steady_clock::now();
  const cooling::Solution solution = cooling::solve(problem);
  found.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  found.words = solution.explanation;
  found.residual = solution.certificate.worst();
  found.steps = solution.iterations;
  if (solution.converged && solution.certificate.met()) found.ending = Ending::solved;
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
