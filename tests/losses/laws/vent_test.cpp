// SPDX-License-Identifier: Apache-2.0
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::degree;
using testing::expect_relative;
using testing::flow_of;
using testing::LawCase;

constexpr double area = 0.02;

LawCase hole(double speed, double jet_angle) {
  LawCase law("vent");
  law.outside = testing::moving_air(speed);
  law.set("area", area).set("cp", 0.0).set("discharge_coefficient", 0.61);
  return law.set("jet_angle", jet_angle * degree);
}

void run_at_ratio(LawCase& law, double ratio) {
  law.state.mass_flow = flow_of(law, area, std::abs(ratio) * law.outside.speed) * (ratio < 0.0 ? -1.0 : 1.0);
  for (int i = 0; i < 4; ++i) law.state.mass_flow *= ratio / law.reported("velocity_ratio");
}

/// Inside pressure over the skin's, on the outer stream's head, for air of the outer density in the vent.
double pressure_ratio(const LawCase& law) {
  const Terms<double> terms = law.terms();
  const double density = law.state.mass_flow / area / terms.reported[0];
  return (terms.item[0] * law.outside.density / density + terms.item[1]) / law.outside.total_pressure;
}

// Closure of ours between zero flow and still air, kappa = 0.40 sin^2 - 0.10 cos and VR_0 = 0.25 with
// Cd 0.61: reckoned apart from this library.
TEST(Vent, PushesIntoTheOuterStream) {
  struct Row {
    double angle, ratio, pressure, discharge;
  };
  for (const Row& row : {Row{30, 0.1, 0.03070234170935696, 0.570708379938126},
                         Row{90, 0.1, 0.14116021038891238, 0.26616065186699334},
                         Row{30, 0.25, 0.17466433045576596, 0.5981882759944955},
                         Row{90, 0.25, 0.36796560064498796, 0.4121320586554089},
                         Row{30, 0.5, 0.6807940423276557, 0.605985358445623},
                         Row{90, 0.5, 0.9385290692466184, 0.5161145944338915},
                         Row{30, 1, 2.6981675780170518, 0.6087872387943234},
                         Row{90, 1, 3.0074496103198065, 0.5766347623886782},
                         Row{30, 2, 10.761707294276166, 0.6096623950582521},
                         Row{90, 2, 11.105353996834783, 0.6001555025171597}}) {
    LawCase law = hole(40.0, row.angle);
    run_at_ratio(law, row.ratio);
    // At 4 m/s, the slowest here, the blend towards the reversed coefficient leaves 1e-7.
    expect_relative(pressure_ratio(law), row.pressure, 1e-6, "pressure");
    // The reported coefficient stands on the density inside, which differs from outside by M^2/2: 3 % of the
    // stream's share.
    expect_relative(law.reported("effective_discharge_coefficient"), row.discharge, 4e-3, "Cd");
  }
}

// Without flow the inside takes the skin's pressure exactly, from either side.
TEST(Vent, RecoversTheSkinPressureAtZeroFlow) {
  for (const double angle : {0.0, 30.0, 90.0, 150.0}) {
    LawCase law = hole(40.0, angle);
    law.set("cp", -0.35).set("cross_stream", 0.4);
    law.state.mass_flow = 0.0;
    EXPECT_DOUBLE_EQ(law.terms().boundary, -0.35 * law.outside.dynamic_head);
    EXPECT_EQ(law.loss(), 0.0) << angle;
  }
}

// K_0 of a built vent: leaving head, plate and blades.
TEST(Vent, AddsGrilleAndBlades) {
  LawCase law("vent");
  law.set("area", area).set("cp", 0.0).set("open_fraction", 0.6);
  expect_relative(law.reported("still_air_loss"), 1.0 + 1.9934901358840198, 1e-10);
  law.set("blade_angle", 45 * degree);
  expect_relative(law.reported("still_air_loss"), 1.0 + 1.9934901358840198 + 0.3423779787717342, 1e-10);
}

// Curtain between vent and blocker, (A_v/A_c)^2: the square of side h open on four sides has (h/4s)^2.
TEST(Vent, LosesMoreBeforeABlocker) {
  struct Row {
    double spacing, extra;
  };
  for (const Row& row : {Row{0.2, 1.5625}, Row{0.3, 0.6944444444444445}, Row{0.4, 0.390625}, Row{0.5, 0.25},
                         Row{0.8, 0.09765625}, Row{1, 0.0625}}) {
    LawCase law = hole(0.0, 90.0);
    const double free = law.reported("still_air_loss");
    const double side = std::sqrt(area);
    law.set("blocker.gap", row.spacing * side).set("blocker.perimeter", 4.0 * side);
    expect_relative(law.reported("still_air_loss") - free, row.extra, 1e-9);
    // Half of the rim open: four times the loss.
    law.set("blocker.open_share", 0.5);
    expect_relative(law.reported("still_air_loss") - free, 4.0 * row.extra, 1e-9);
  }
}

// Air that enters through a vent recovers R_f of the outer head at most and loses K_in, in a plenum the whole
// head.
TEST(Vent, TakesAirInAgainstItsInflowLoss) {
  LawCase law = hole(0.0, 90.0);
  law.state.mass_flow = -flow_of(law, area, 10.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, area), -1.7, 1e-6);
  law.from_plenum = true;
  EXPECT_NEAR(law.loss() / testing::head_of(law, area), -2.7, 1e-6);

  law = hole(30.0, 90.0);
  run_at_ratio(law, -0.15);
  // R_f is 0.05, held at 0.9 * 0.15^2 * K_in = 0.0344; half of it at VR 0.15.
  EXPECT_NEAR(law.terms().item[1] / law.outside.total_pressure, 0.5 * 0.9 * 0.0225 * 1.7, 1e-6);
}

// An aft-facing vent would suck more the less it flows: its gain is held and the result says so.
TEST(Vent, HoldsTheGainOfAnAftFacingVent) {
  LawCase law = hole(40.0, 0.0);
  EXPECT_EQ(law.kind().mended({law.numbers, law.given}), "");
  law.set("discharge_coefficient", 1.0).set("cross_stream_ratio", 0.2);
  EXPECT_NE(law.kind().mended({law.numbers, law.given}), "");
  run_at_ratio(law, 0.2);
  // -0.99 K_0 VR_0^2 q_s, half of it at VR = VR_0.
  EXPECT_NEAR(law.terms().item[1] / law.outside.total_pressure, -0.5 * 0.99 * 0.04, 1e-6);
}

}  // namespace
}  // namespace corefeed::losses
