// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using corefeed::testing::expect_relative;
using testing::LawCase;

constexpr double area = 0.15;

LawCase core() {
  LawCase law("core");
  return law.set("face_area", area).set("air_loss.linear", 24.0).set("air_loss.quadratic", 6.0);
}

/// Air of this velocity at the test's density and viscosity.
void blow(LawCase& law, double velocity) { law.state.mass_flow = law.outside.density * velocity * area; }

TEST(Core, FollowsItsCurveAtTheTestsState) {
  LawCase law = core();
  law.set("air_loss.density", law.outside.density);
  law.set("air_loss.viscosity", law.outside.air.viscosity(293.15));
  for (const double velocity : {0.5, 4.0, 10.0}) {
    blow(law, velocity);
    expect_relative(law.loss(), 24.0 * velocity + 6.0 * velocity * velocity, 1e-6);
    blow(law, -velocity);
    expect_relative(law.loss(), -(24.0 * velocity + 6.0 * velocity * velocity), 1e-6);
  }
}

// a = mu L/k_p, b = F rho L: 40 mm of a medium in the words of CFD.
TEST(Core, MayBeAPorousMedium) {
  LawCase law("core");
  law.set("face_area", area).set("porous.permeability", 3e-8).set("porous.forchheimer_coefficient", 120.0);
  law.set("porous.depth", 0.04);
  blow(law, 6.0);
  const double viscosity = law.outside.air.viscosity(293.15);
  expect_relative(law.loss(), viscosity * 0.04 / 3e-8 * 6.0 + 120.0 * law.outside.density * 0.04 * 36.0,
                  1e-6);
}

// Half the flow through a zone of half the core: the same velocity, the same loss.
TEST(Core, AZoneHasItsShareOfTheFace) {
  LawCase whole = core();
  blow(whole, 7.0);
  LawCase zone = core();
  zone.set("share", 0.3);
  zone.state.mass_flow = 0.3 * whole.state.mass_flow;
  expect_relative(zone.loss(), whole.loss(), 1e-9);
  expect_relative(zone.reported("face_velocity"), 7.0, 1e-9);
}

// Incidence: 0.5 tan^2 i on the normal head, 0.04, 0.17, 0.50 and 1.5 at 15, 30, 45 and 60 degrees.
TEST(Core, TurnsWhatArrivesAtAnAngle) {
  LawCase straight = core();
  blow(straight, 8.0);
  const double head = 0.5 * straight.outside.density * 64.0;
  const double expected[][2] = {{15.0, 0.0359}, {30.0, 0.1667}, {45.0, 0.5}, {60.0, 1.5}};
  for (const auto& [angle, coefficient] : expected) {
    LawCase inclined = straight;
    inclined.set("incidence", angle * testing::degree);
    EXPECT_NEAR((inclined.loss() - straight.loss()) / head, coefficient, 1e-4) << angle;
  }
}

// Speeding the heated air up takes (1 + K_e) G^2/(2 s^2) (1/rho_2 - 1/rho_1) of its total pressure, whichever
// way it goes (Kays & London, Compact Heat Exchangers, 3rd ed. 1984, ch. 2, total-pressure form); a plenum
// behind the core takes the head of the hot air. Densities are those of a perfect gas at the ends.
TEST(Core, HeatingCostsPressureAndThePlenumTheHotHead) {
  LawCase law = core();
  law.set("free_flow_ratio", 0.7).set("exit_coefficient", 0.2);
  const double constant = law.outside.air.gas_constant;
  const double flux = 6.0;
  const double cold = law.outside.pressure / (constant * 300.0);
  const double hot = law.outside.pressure / (constant * 350.0);
  law.state.temperature_from = law.state.temperature_to = 300.0;
  law.state.temperature_out = 350.0;
  for (const double direction : {1.0, -1.0}) {
    law.state.mass_flow = direction * flux * area;
    law.from_plenum = law.to_plenum = false;
    const auto item = [&law](std::string_view name) {
      return law.terms().item[testing::item_place(law, name)];
    };
    const double expected = 1.2 * flux * flux / (2.0 * 0.49) * (1.0 / hot - 1.0 / cold);
    // A millimeter per second rounds the speed off.
    expect_relative(item("heating"), direction * expected, 1e-6);
    EXPECT_EQ(item("face head dumped"), 0.0);
    (direction > 0.0 ? law.to_plenum : law.from_plenum) = true;
    expect_relative(item("face head dumped"), direction * flux * flux / (2.0 * hot), 1e-6);
  }
}

// A core that cools its air from 900 K gains more pressure than it loses: K_c passes -1, where the formula of
// the spreading had a pole. Steps of 0.2 K move the loss by less than 1 Pa all the way.
TEST(Core, ALossThatCoolingTurnsNegativeSpreadsAsNone) {
  LawCase law = core();
  law.set("air_loss.linear", 2.0).set("air_loss.quadratic", 0.5);
  law.set("free_flow_ratio", 0.5).set("fan_shadow.shroud_area", 0.15).set("fan_shadow.fan_area", 0.058);
  law.set("fan_shadow.gap", 0.02);
  blow(law, 8.0);
  law.state.temperature_out = 300.0;
  constexpr double small_change = 1.0;  // Pa
  double last = law.loss();
  double least = 1.0;
  for (double arriving = 293.15; arriving < 900.0; arriving += 0.2) {
    law.state.temperature_from = arriving;
    EXPECT_NEAR(law.loss(), last, small_change) << arriving;
    last = law.loss();
    least = std::min(least, law.reported("face_loss_coefficient"));
  }
  EXPECT_LT(least, -1.0);
}

// 1500 cm2 under the shroud of a fan of 580 cm2 with a gap of 20 mm: 0.5 sqrt(A_s/A_fan - 1) exp(-s/(0.15
// D)), straightened by the core like a jet before it; loss grows by g_c^2 of its quadratic part.
TEST(Core, AFanCloseBehindMakesTheFaceUneven) {
  LawCase law = core();
  blow(law, 7.0);
  const double even = law.loss();
  law.set("fan_shadow.shroud_area", 0.15).set("fan_shadow.fan_area", 0.058).set("fan_shadow.gap", 0.02);
  const double diameter = std::sqrt(4.0 * 0.058 / testing::pi);
  const double shadow = 0.5 * std::sqrt(1500.0 / 580.0 - 1.0) * std::exp(-0.02 / (0.15 * diameter));
  const double loss = law.reported("face_loss_coefficient");
  const double uneven = 0.5 * shadow * (2 + loss) / (1 + loss);
  expect_relative(law.reported("maldistribution"), uneven, 1e-9);
  const double quadratic = 6.0 * law.outside.density / 1.2 * 49.0;
  expect_relative(law.loss() - even, uneven * uneven * quadratic, 1e-6);
  // Far behind it does nothing; switched off it is reported alone.
  law.set("fan_shadow.gap", 0.5);
  expect_relative(law.loss(), even, 1e-6);
  law.set("fan_shadow.gap", 0.02).set("face_maldistribution", 0.0);
  expect_relative(law.loss(), even, 1e-12);
  expect_relative(law.reported("maldistribution"), uneven, 1e-9);
}

// The level of the test decides which viscosity and density the curve is taken from.
TEST(Core, TestedPointsBringTheirOwnAir) {
  LawCase law = core();
  law.set("air_loss.density", 0.6).set("air_loss.viscosity", 9e-6);
  blow(law, 6.0);
  const double given = law.loss();
  law.set_curve("tested.points", {0.0, 2.0, 4.0, 8.0}, {0.0, 72.0, 192.0, 576.0});
  law.set("tested.density", 1.2).set("tested.viscosity", 1.8e-5);
  expect_relative(law.loss(), 0.5 * given, 1e-9);
  expect_relative(law.reported("share_of_tested_velocity"), 0.75, 1e-6);
}

LawCase finned(int style) {
  LawCase law("core");
  law.set("face_area", area).set("fins.style", style).set("fins.fin_pitch", 1.6e-3);
  law.set("fins.fin_height", 8e-3).set("fins.fin_thickness", 1e-4).set("fins.tube_pitch", 10e-3);
  law.set("fins.tube_thickness", 2e-3).set("fins.depth", 32e-3).set("fins.louvre_pitch", 1.2e-3);
  law.set("fins.louvre_angle", 27.0 * testing::degree).set("fins.louvre_length", 6.8e-3);
  return law.set("fins.strip_length", 3e-3);
}

// Cut fins lose more than plain ones, and all less than with the square of the flow.
TEST(Core, FinsOfEachStyleLoseAsTheyShould) {
  double loss[3];
  for (const int style : {0, 1, 2}) {
    LawCase law = finned(style);
    blow(law, 4.0);
    const double slow = law.loss();
    blow(law, 8.0);
    loss[style] = law.loss();
    const double exponent = std::log(loss[style] / slow) / std::log(2.0);
    EXPECT_GT(exponent, 1.05) << style;
    EXPECT_LT(exponent, 1.9) << style;
  }
  EXPECT_GT(loss[0], loss[2]);
  EXPECT_GT(loss[1], loss[2]);
}

// A test beats the handbook: fins beside tested coefficients serve the heat alone.
TEST(Core, ATestBeatsTheFins) {
  LawCase law = finned(0);
  law.set("air_loss.linear", 24.0).set("air_loss.quadratic", 6.0);
  LawCase tested = core();
  blow(law, 6.0);
  blow(tested, 6.0);
  expect_relative(law.loss(), tested.loss(), 1e-12);
}

TEST(Core, SaysWhereItsFinsContradict) {
  const auto contradiction = [](const LawCase& law) { return law.kind().contradiction(law.values()); };
  EXPECT_EQ(contradiction(finned(0)), "");
  LawCase thick = finned(0);
  thick.set("fins.fin_thickness", 1.6e-3);
  EXPECT_NE(contradiction(thick), "");
  LawCase high = finned(2);
  high.set("fins.fin_height", 11e-3);
  EXPECT_NE(contradiction(high), "");
}

}  // namespace
}  // namespace corefeed::losses
