// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// A centrifugal pump by its test curve and the affinity laws. Values: the formulas by hand.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

/// 90 kPa at rest, 0.004 m3/s at no head, water of 1000 kg/m3.
LawCase plain_pump() {
  LawCase law("pump");
  law.liquid = fluids::constant_liquid(4000.0, 1000.0, 1e-3, 0.6).value();
  law.set("curve.shutoff_pressure", 90e3).set("curve.free_flow", 0.004);
  return law;
}

double rise_at(LawCase law, double volume_flow) {
  law.state.mass_flow = 1000.0 * volume_flow;
  return -law.loss();
}

TEST(Pump, FollowsItsParabola) {
  EXPECT_DOUBLE_EQ(rise_at(plain_pump(), 0.0), 90e3);
  // 90 kPa (1 - 1/4) at half the free flow.
  expect_relative(rise_at(plain_pump(), 0.002), 67.5e3, 1e-8);
  EXPECT_NEAR(rise_at(plain_pump(), 0.004), 0.0, 1e-3);
  // With a rising start: 90 kPa (1 + 0.4 * 0.5 - 1.4 * 0.25).
  LawCase rising = plain_pump();
  rising.set("curve.initial_slope", 0.4);
  expect_relative(rise_at(rising, 0.002), 90e3 * 0.85, 1e-8);
  EXPECT_FALSE(rising.kind().monotone_of(rising.values()));
}

// Affinity: half the speed at half the flow gives a quarter of the head, and an eighth of the power.
TEST(Pump, ScalesWithShaftSpeed) {
  LawCase law = plain_pump();
  law.set("curve.shaft_speed", 600.0).set("speed_ratio", 0.5);
  law.outside.engine_speed = 600.0;
  expect_relative(rise_at(law, 0.001), 67.5e3 / 4.0, 1e-8);
  law.state.mass_flow = 1.0;
  const double slow = law.reported("power");
  LawCase fast = plain_pump();
  fast.state.mass_flow = 2.0;
  expect_relative(slow, fast.reported("power") / 8.0, 1e-8);
  expect_relative(fast.reported("power"), 67.5e3 * 0.002 / 0.5, 1e-8);
}

TEST(Pump, FollowsTestedPointsAndGoesOnFallingBeyond) {
  LawCase law = plain_pump();
  law.given = 0;
  law.set_curve("curve.points", {0.0, 0.001, 0.002, 0.003}, {90e3, 85e3, 68e3, 40e3});
  expect_relative(rise_at(law, 0.002), 68e3, 1e-9);
  EXPECT_LT(rise_at(law, 0.0035), 40e3 - 0.0005 * (68e3 - 40e3) / 0.001);
  EXPECT_GT(rise_at(law, -0.001), 90e3);
}

// Affinity for tested points: half the speed gives a quarter of the head at half the flow.
TEST(Pump, TestedPointsScaleWithShaftSpeed) {
  LawCase law = plain_pump();
  law.given = 0;
  law.set_curve("curve.points", {0.0, 0.001, 0.002, 0.003}, {90e3, 85e3, 68e3, 40e3});
  law.set("curve.shaft_speed", 600.0).set("speed_ratio", 0.5);
  law.outside.engine_speed = 600.0;
  expect_relative(rise_at(law, 0.001), 68e3 / 4.0, 1e-9);
  expect_relative(rise_at(law, 0.0), 90e3 / 4.0, 1e-9);
}

// Vapor pressure of water at 95 degC 84.6 kPa (IAPWS-IF97).
TEST(Pump, GivesLessThanItsCurveWhereItsInletLacksPressure) {
  LawCase law = plain_pump();
  law.liquid = fluids::water();
  law.state.temperature_from = 368.15;
  law.set("curve.density", law.liquid.density(368.15)).set("suction_limit", 50e3);
  const double missing = 50e3 - (101325.0 - 84.6e3);
  EXPECT_NEAR(law.reported("suction_margin"), -missing, 100.0);
  EXPECT_NEAR(-law.loss() / 90e3, 1.0 - missing / 50e3, 0.003);
  law.state.pressure_from = 60e3;
  EXPECT_GT(law.reported("suction_margin"), 0.0);
  expect_relative(-law.loss(), 90e3, 1e-9);
}

}  // namespace
}  // namespace corefeed::losses
