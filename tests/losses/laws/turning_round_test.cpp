// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/check.hpp"
#include "tests/support/law_case.hpp"

// What laws do within a few decimetres per second of rest, where the flow turns round and a wrong blend gives
// a network two states or none.
namespace corefeed::losses {
namespace {

using testing::LawCase;

LawCase at_velocity(LawCase law, double area, double velocity) {
  law.state.mass_flow = law.outside.density * velocity * area;
  return law;
}

// A lip sharper than a wall's edge, car at rest: air that leaves pays its leaving head and no lip.
TEST(TurningRound, AStandingInletHasNoLipForAirThatLeaves) {
  LawCase inlet("inlet");
  inlet.set("area", 0.04).set("cp", 0.0).set("lip_loss", 1.5).set("internal_loss", 0.0);
  double before = at_velocity(inlet, 0.04, -1.0).loss();
  for (int i = -99; i <= 100; ++i) {
    const double now = at_velocity(inlet, 0.04, 0.01 * i).loss();
    EXPECT_GE(now, before) << 0.01 * i << " m/s";
    if (i < 0) {
      EXPECT_LT(now, 0.0) << 0.01 * i << " m/s";
    }
    before = now;
  }
}

// A vent at rest passes the skin's pressure on exactly, whatever the outer stream does.
TEST(TurningRound, AVentAtRestHasNoCrossStream) {
  LawCase vent("vent");
  vent.set("area", 0.04).set("cp", -0.3).set("discharge_coefficient", 0.62);
  vent.outside = testing::moving_air(50.0);
  EXPECT_EQ(vent.loss(), 0.0);
  EXPECT_NEAR(at_velocity(vent, 0.04, 1e-6).loss(), 0.0, 1e-6);
}

// At rest shut flaps count as four times the open ones, and the mean of both holds. The flaps' 1.9 is common
// practice.
TEST(TurningRound, FlapsOpenWithoutLosingMoreOnTheWay) {
  LawCase flap("flap");
  flap.set("area", 0.055);
  const LawCase slow = at_velocity(flap, 0.055, 1e-4);
  const double head = 0.5 * flap.outside.density * 1e-4 * std::hypot(1e-4, still_velocity);
  // The blend has moved by tanh(2e-4) on the way.
  testing::expect_relative(slow.loss() / head, 0.5 * (1.9 + 4.0 * 1.9), 1e-3);
}

// A fan at rest between cold air before it and hot air behind it: the mean of both densities, no jump.
TEST(TurningRound, AFanAtRestPumpsTheMeanOfBothSides) {
  LawCase fan("fan");
  fan.set("area", 0.058).set("curve.shutoff_pressure", 180.0).set("curve.free_flow", 0.75);
  fan.state.temperature_to = 2.0 * fan.state.temperature_from;
  const double cold = fan.outside.density;
  testing::expect_relative(-fan.loss(), 180.0 * 0.5 * (cold + 0.5 * cold) / 1.2, 1e-9);
  testing::expect_relative(-at_velocity(fan, 0.058, 1e-7).loss(), -at_velocity(fan, 0.058, -1e-7).loss(),
                           1e-6);
}

// Between laminar and turbulent flow a gentle bend loses no less at more flow.
TEST(TurningRound, AGentleBendKeepsRisingThroughTransition) {
  LawCase bend("bend");
  bend.set("angle", 0.1).set("radius", 0.1).set("area", 7.85e-3).set("hydraulic_diameter", 0.1);
  double before = 0.0;
  for (int i = 1; i <= 400; ++i) {
    const double now = at_velocity(bend, 7.85e-3, 0.005 * i).loss();
    EXPECT_GT(now, before) << 0.005 * i << " m/s, Re "
                           << at_velocity(bend, 7.85e-3, 0.005 * i).reported("reynolds");
    before = now;
  }
}

}  // namespace
}  // namespace corefeed::losses
