// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// A valve that gives its flow over its pressure difference: what balances is the law's own flow. By hand.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

constexpr double coefficient = 2e-9;  // 12 L/(min bar)

/// 4 bar, with this pressure difference across it and this volume flow through it.
LawCase valve(double difference, double volume_flow) {
  LawCase law("relief_valve");
  law.liquid = fluids::constant_liquid(2100.0, 850.0, 0.010, 0.13).value();
  law.set("opening_pressure", 4e5).set("flow_coefficient", coefficient);
  law.state.pressure_from = difference;
  law.state.mass_flow = 850.0 * volume_flow;
  return law;
}

/// Pressure difference less loss: 0 where the flow is the valve's own.
double imbalance(const LawCase& law) { return law.state.pressure_from - law.state.pressure_to - law.loss(); }

TEST(ReliefValve, IsShutBelowItsOpeningPressureAndAgainstBackflow) {
  for (const double difference : {-3e5, 0.0, 2e5, 3.79e5}) {
    EXPECT_NEAR(imbalance(valve(difference, 0.0)), 0.0, 1e-6) << difference;
  }
}

TEST(ReliefValve, OpensInProportionToWhatIsBeyond) {
  EXPECT_NEAR(imbalance(valve(5e5, coefficient * 1e5)), 0.0, 1e-5);
  expect_relative(valve(5e5, 0.0).reported("share_of_opening_pressure"), 1.25, 1e-12);
}

// The corner's parabola: (0 + w)^2/(4 w) = w/4 at the opening pressure itself, w = 5 % of it.
TEST(ReliefValve, RoundsItsCorner) {
  EXPECT_NEAR(imbalance(valve(4e5, coefficient * 0.05 * 4e5 / 4.0)), 0.0, 1e-5);
}

// Volume flow is mass flow over the density of what comes: hot oil one way, cold oil the other.
TEST(ReliefValve, CountsTheVolumeOfWhatComes) {
  LawCase law("relief_valve");
  law.set("opening_pressure", 4e5).set("flow_coefficient", coefficient);
  law.state.temperature_from = 390.0;
  law.state.temperature_to = 300.0;
  law.state.mass_flow = 0.3;
  expect_relative(law.reported("volume_flow"), 0.3 / law.liquid.density(390.0), 1e-12);
  law.state.mass_flow = -0.3;
  expect_relative(law.reported("volume_flow"), -0.3 / law.liquid.density(300.0), 1e-12);
}

}  // namespace
}  // namespace corefeed::losses
