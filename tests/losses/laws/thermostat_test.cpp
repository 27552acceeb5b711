// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// Two ways whose losses follow the temperature at the common port. Values: the formula by hand.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

/// 82 to 96 degC on a bore of 30 mm, 2 m/s of a liquid of 1000 kg/m3: a head of 2 kPa.
LawCase thermostat(double celsius, Leg leg) {
  LawCase law("thermostat");
  law.liquid = fluids::constant_liquid(4000.0, 1000.0, 1e-3, 0.6).value();
  law.set("bore", 0.03).set("opens_at", 355.15).set("fully_open_at", 369.15);
  law.set("loss", 2.5).set("bypass_loss", 12.0);
  law.state.temperature_from = celsius + 273.15;
  law.state.mass_flow = 1000.0 * 2.0 * testing::pi / 4.0 * 0.03 * 0.03;
  law.leg = leg;
  return law;
}
constexpr double head = 2000.0;
/// Slow flow is rounded off over 1 mm/s.
constexpr double rounding = 1e-6;

TEST(Thermostat, OpensAlongAStraightLine) {
  for (const auto& [celsius, opening] :
       {std::pair{85.5, 0.25}, std::pair{89.0, 0.5}, std::pair{92.5, 0.75}}) {
    const LawCase law = thermostat(celsius, Leg::straight);
    expect_relative(law.reported("opening"), opening, 1e-12);
    expect_relative(law.loss(), 2.5 / (opening * opening) * head, rounding);
    const double shut = 1.0 - 0.9 * opening;
    expect_relative(thermostat(celsius, Leg::branch).loss(), 12.0 / (shut * shut) * head, rounding);
  }
}

TEST(Thermostat, LeaksAHundredthWhenShut) {
  expect_relative(thermostat(60.0, Leg::straight).loss(), 2.5e4 * head, rounding);
  expect_relative(thermostat(60.0, Leg::branch).loss(), 12.0 * head, rounding);
}

TEST(Thermostat, LeavesTheBypassAHundredfoldLossWhenOpen) {
  expect_relative(thermostat(110.0, Leg::straight).loss(), 2.5 * head, rounding);
  expect_relative(thermostat(110.0, Leg::branch).loss(), 1200.0 * head, rounding);
}

// At the pump's inlet the two ways join: the flow comes to the common port, whose temperature still counts.
TEST(Thermostat, WorksAtTheInletOfThePumpToo) {
  LawCase law = thermostat(89.0, Leg::straight);
  const double onward = law.loss();
  law.state.mass_flow = -law.state.mass_flow;
  EXPECT_DOUBLE_EQ(law.loss(), -onward);
}

TEST(Thermostat, RefusesToOpenBeforeItBegins) {
  LawCase law = thermostat(89.0, Leg::straight);
  law.set("fully_open_at", 350.0);
  EXPECT_NE(law.kind().contradiction(law.values()), "");
}

}  // namespace
}  // namespace corefeed::losses
