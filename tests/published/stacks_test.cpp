// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cooling/case_parts.hpp"
#include "tests/published/published.hpp"

/// Cores behind each other in one stream.
namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using published::Published;
using published::relative;

constexpr double air_flow = 1.2;

/// Oil cooler, then radiator; both conductances constant, in equal halves so that the sum is the whole.
Case stack(double pressure) {
  Builder builder(
      losses::surroundings_of({.gas_constant = 287.055, .heat_capacity = 1007.0}, 1e5, 298.15, 0.0, 0.0));
  builder.fixed("front", pressure, 298.15).fixed("behind", 0.0, 298.15);
  const auto core = [&builder](const char* name, const char* from, const char* to, double conductance,
                               double liquid) {
    builder.add(name, "core", from, to,
                {{"face_area", 0.15},
                 {"air_loss.linear", 20.0},
                 {"air_loss.quadratic", 5.0},
                 {"air_conductance.value", 2.0 * conductance},
                 {"air_conductance.flow", air_flow},
                 {"air_conductance.exponent", 0.0},
                 {"liquid_conductance.value", 2.0 * conductance},
                 {"liquid_conductance.flow", liquid},
                 {"liquid_conductance.exponent", 0.0}});
  };
  core("oil_cooler", "front", "between", 420.0, 0.4);
  core("radiator", "between", "behind", 1700.0, 1.3);
  Case problem = testing::case_of(builder.network());
  testing::cool(problem, {"oil", testing::plain_liquid(2100.0), 0.4, 15e3}, {"oil_cooler"});
  testing::cool(problem, {"coolant", testing::plain_liquid(3500.0), 1.3, 40e3}, {"radiator"});
  return problem;
}

/// The stack under the pressure that drives the asked flow through it; flow goes with a power of pressure
/// near one half.
Solution at_the_asked_flow() {
  double pressure = 800.0;
  Solution solution = solve(stack(pressure));
  for (int i = 0; i < 60; ++i) {
    const double ratio = air_flow / testing::value(solution, "radiator.flow");
    pressure *= std::pow(ratio, 1.5);
    solution = solve(stack(pressure));
  }
  EXPECT_NEAR(testing::value(solution, "radiator.flow"), air_flow, 1e-9);
  return solution;
}

TEST(PublishedStacks, OilCoolerAheadOfARadiator) {
  const Solution solution = at_the_asked_flow();
  const auto celsius = [&solution](const char* quantity) {
    return testing::value(solution, quantity) - 273.15;
  };
  Published("S-NW-18", "solved apart from this program; computed",
            "oil cooler ahead of a radiator, heat given")
      .met("effectiveness of the oil cooler", testing::value(solution, "oil_cooler.effectiveness"), 0.34507,
           relative(1e-3))
      .met("oil in, degC", celsius("oil.temperature"), 76.749, relative(1e-3))
      .met("oil out, degC", celsius("oil.temperature_cold"), 58.892, relative(1e-3))
      .met("air between, degC", celsius("between.temperature"), 37.413, relative(1e-3))
      .met("effectiveness of the radiator", testing::value(solution, "radiator.effectiveness"), 0.69313,
           relative(1e-3))
      .met("coolant in, degC", celsius("coolant.temperature"), 85.17, relative(1e-3))
      .met("coolant out, degC", celsius("coolant.temperature_cold"), 76.378, relative(1e-3))
      .met("air out, degC", celsius("radiator.air_temperature_out"), 70.515, relative(1e-3));
}

}  // namespace
}  // namespace corefeed::cooling
