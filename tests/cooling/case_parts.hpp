// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/solution.hpp"
#include "tests/network/build.hpp"

/// Cases made in code: a network of `network::testing::Builder` and the loops its cores cool.
namespace corefeed::cooling::testing {

inline fluids::Liquid plain_liquid(double heat_capacity) {
  constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
  return fluids::constant_liquid(heat_capacity, unknown, unknown, unknown).value();
}

inline Case case_of(network::Network network) {
  Case problem;
  problem.loop_of.assign(network.elements.size(), network::none);
  problem.network = std::move(network);
  return problem;
}

inline std::size_t place_of(const Case& problem, std::string_view element) {
  const auto& elements = problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (elements[e].name == element) return e;
  }
  ADD_FAILURE() << "no element " << element;
  return 0;
}

/// Adds a loop that these cores cool.
inline void cool(Case& problem, Loop loop, std::initializer_list<std::string_view> cores) {
  for (const std::string_view core : cores) {
    problem.loop_of[place_of(problem, core)] = static_cast<int>(problem.loops.size());
  }
  problem.loops.push_back(std::move(loop));
}

/// The value of a quantity that has to exist.
inline double value(const Solution& solution, std::string_view quantity) {
  const auto found = solution.value(quantity);
  EXPECT_TRUE(found.has_value()) << quantity;
  return found.value_or(std::nan(""));
}

}  // namespace corefeed::cooling::testing
