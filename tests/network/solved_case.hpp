// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "corefeed/cooling/solution.hpp"

/// Solutions that are compared with each other.
namespace corefeed::network::testing {

inline double largest_flow(const cooling::Solution& solution) {
  double largest = 1e-6;
  for (const cooling::ElementState& state : solution.elements)
    largest = std::max(largest, std::abs(state.flow));
  return largest;
}

/// The solution of a case that has to converge.
inline cooling::Solution solved_case(const cooling::Case& problem,
                                     const cooling::SolveOptions& options = {}) {
  cooling::Solution solution = cooling::solve(problem, options);
  EXPECT_TRUE(solution.converged) << solution.explanation;
  return solution;
}

}  // namespace corefeed::network::testing
