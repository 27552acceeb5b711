// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// A displacement pump: what it sweeps less what slips back. Values: the formula by hand.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

constexpr double turn = 2.0 * testing::pi;

/// 20 cm3 a turn at 50 turns a second, oil of 10 mPa s: sweeps 1 L/s.
LawCase plain_pump() {
  LawCase law("oil_pump");
  law.liquid = fluids::constant_liquid(2100.0, 850.0, 0.010, 0.13).value();
  law.set("displacement", 20e-6).set("slip", 1.2e-7).set("shaft_speed", 50.0 * turn);
  return law;
}

// eta_v = 1 - C_s dp/(mu n) = 1 - 1.2e-7 * 4e5/(0.010 * 50) = 0.904 at 4 bar.
TEST(OilPump, SlipsInProportionToPressureOverViscosity) {
  LawCase law = plain_pump();
  law.state.mass_flow = 850.0 * 1e-3 * 0.904;
  expect_relative(-law.loss(), 4e5, 1e-9);
  expect_relative(law.reported("volumetric_efficiency"), 0.904, 1e-12);
  // Power of the swept volume over the mechanical efficiency: 4e5 * 1e-3 / 0.8.
  expect_relative(law.reported("power"), 500.0, 1e-9);
  law.liquid = fluids::constant_liquid(2100.0, 850.0, 0.020, 0.13).value();
  expect_relative(-law.loss(), 8e5, 1e-9);
}

TEST(OilPump, GivesWhatItSweepsWithoutPressure) {
  LawCase law = plain_pump();
  law.state.mass_flow = 0.850;
  EXPECT_NEAR(law.loss(), 0.0, 1e-3);
}

TEST(OilPump, AtRestOnlyLeaks) {
  LawCase law = plain_pump();
  law.set("shaft_speed", 0.0);
  law.state.mass_flow = 0.0;
  EXPECT_DOUBLE_EQ(law.loss(), 0.0);
  law.state.mass_flow = 0.085;
  // Q = D C_s dp/mu: 1e-4 m3/s take 1e-4 * 0.010/(20e-6 * 1.2e-7) Pa.
  expect_relative(law.loss(), 1e-4 * 0.010 / (20e-6 * 1.2e-7), 1e-9);
}

// Oil has no vapor pressure: at 40 kPa of absolute pressure and a need of 80 kPa half the volume fills.
TEST(OilPump, FillsInPartBeyondItsSuctionLimit) {
  LawCase law = plain_pump();
  law.set("suction_limit", 80e3);
  law.state.pressure_from = 40e3 - 101325.0;
  law.state.mass_flow = 0.5 * 0.850;
  EXPECT_NEAR(law.loss(), 0.0, 1e-3);
  expect_relative(law.reported("suction_margin"), -40e3, 1e-9);
}

}  // namespace
}  // namespace corefeed::losses
