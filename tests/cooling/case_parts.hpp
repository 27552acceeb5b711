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

/// Nose inlet, diffuser, radiator with a leak around it, vent.
inline Case small_car() {
  network::testing::Builder builder(network::testing::dry_air(40.0));
  builder.plenum("bay");
  builder.add("nose", "inlet", "", "throat", {{"area", 0.05}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("widening", "diffuser", "throat", "face",
              {{"inlet_area", 0.05}, {"outlet_area", 0.15}, {"length", 0.5}});
  builder.add("radiator", "core", "face", "bay",
              {{"face_area", 0.15},
               {"air_loss.linear", 24.0},
               {"air_loss.quadratic", 6.0},
               {"air_conductance.value", 3000.0},
               {"air_conductance.flow", 1.2},
               {"liquid_conductance.value", 6000.0},
               {"liquid_conductance.flow", 1.5}});
  builder.add("gap", "leak", "face", "bay", {{"area", 0.002}, {"discharge_coefficient", 0.6}});
  builder.add("outlet", "vent", "bay", "", {{"area", 0.08}, {"cp", -0.3}, {"discharge_coefficient", 0.65}});
  Case problem = case_of(builder.network());
  cool(problem, {.name = "coolant", .fluid = plain_liquid(3600.0), .flow = 1.5, .heat_load = 30e3},
       {"radiator"});
  return problem;
}

}  // namespace corefeed::cooling::testing
