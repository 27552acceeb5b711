// SPDX-License-Identifier: Apache-2.0
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::degree;
using testing::flow_of;
using testing::LawCase;

LawCase nose_hole(double speed) {
  LawCase law("inlet");
  law.outside = testing::moving_air(speed);
  return law.set("area", 0.03).set("cp", 0.0).set("recovery", 1.0).set("internal_loss", 0.0);
}

/// The flow at which the throat's velocity, by the law's own density, is this one.
void run_at(LawCase& law, double velocity) {
  law.state.mass_flow = flow_of(law, 0.03, velocity);
  for (int i = 0; i < 4; ++i) law.state.mass_flow *= velocity / law.reported("velocity");
}

// Air that arrives as fast as it enters meets no lip loss, slower air none either.
TEST(Inlet, LosesNothingAtTheLipUpToTheSpeedOfTheCar) {
  LawCase law = nose_hole(30.0);
  for (const double velocity : {10.0, 20.0, 30.0 - 1e-6}) {
    run_at(law, velocity);
    EXPECT_EQ(law.loss(), 0.0) << velocity;
  }
  // Twice as fast: k_s (1 - 1/2)^2 on the throat's head.
  run_at(law, 60.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), 0.25, 1e-7);
}

// With the car at rest only the lip's entrance loss in still air is left.
TEST(Inlet, HasTheStillEntranceLossAtRest) {
  LawCase law = nose_hole(0.0);
  for (const double still : {1.0, 0.4, 0.03}) {
    law.set("lip_loss", still);
    run_at(law, 10.0);
    EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), still, 1e-7);
  }
}

// A radius stands for the flush lip of Idelchik, Diagram 3-4, on the diameter of the circle of equal area.
TEST(Inlet, TakesTheLipLossFromItsRadius) {
  LawCase law = nose_hole(0.0);
  const double diameter = std::sqrt(4.0 * 0.03 / testing::pi);
  law.set("lip_radius", 0.05 * diameter);
  run_at(law, 10.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), 0.22368583397574518, 1e-7);
}

// Mean dynamic head of a 1/7-power boundary layer over that outside, by the height captured: the closed
// integral, 0.8 y^(2/7) inside and (y - 0.3)/(y - 0.125) beyond the edge.
TEST(Inlet, RecoversTheMeanHeadOfTheBoundaryLayerItSwallows) {
  struct Row {
    double height, ratio;
  };
  for (const Row& row : {Row{0.25, 0.5383600770529425}, Row{0.5, 0.6562682848061104}, Row{1, 0.8},
                         Row{2, 0.9066666666666667}, Row{4, 0.9548387096774194}}) {
    LawCase law = nose_hole(30.0);
    law.set("boundary_layer.thickness", 0.02).set("boundary_layer.capture_width", 0.3);
    const double skin_velocity = std::sqrt(2.0 / law.outside.density * law.outside.total_pressure);
    // Flow up to that height of u = y^(1/7): 7/8 y^(8/7) inside, y - 1/8 beyond.
    const double flow = row.height <= 1.0 ? 0.875 * std::pow(row.height, 8.0 / 7.0) : row.height - 0.125;
    law.state.mass_flow = flow * law.outside.density * skin_velocity * 0.3 * 0.02;
    // The square root of still air is rounded by 1e-6 m2/s2, 1e-9 of the velocity at 30 m/s.
    EXPECT_NEAR(law.terms().boundary / law.outside.total_pressure, row.ratio, 1e-8) << row.height;
  }
}

// The same integral done by Simpson's rule over the layer's own profile, mass-weighted as a momentum balance
// of the captured stream has it.
TEST(Inlet, BoundaryLayerRatioIsTheIntegralOfItsProfile) {
  // u = y^(1/7) with y = s^7: mean of u^3 over mean of u is the mean head of the captured mass, integrated in
  // s.
  const auto moment = [](double height, int power) {
    const double end = std::pow(height, 1.0 / 7.0);
    constexpr int strips = 2000;
    double sum = 0.0;
    for (int i = 0; i <= strips; ++i) {
      const double s = end * i / strips;
      const double weight = i == 0 || i == strips ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
      sum += weight * 7.0 * std::pow(s, 6 + power);
    }
    return sum * end / strips / 3.0;
  };
  EXPECT_NEAR(moment(0.5, 3) / moment(0.5, 1), 0.6562682848061104, 1e-9);
  EXPECT_NEAR((moment(1.0, 3) + 1.0) / (moment(1.0, 1) + 1.0), 0.9066666666666667, 1e-9);
}

// Air that comes at an angle is recovered by the squared cosine, nothing from the side and beyond.
TEST(Inlet, LosesRamInYaw) {
  LawCase law = nose_hole(30.0);
  const double straight = law.terms().boundary;
  law.outside = testing::moving_air(30.0, 60 * degree);
  EXPECT_NEAR(law.terms().boundary, 0.25 * straight, 1e-9 * straight);
  law.outside = testing::moving_air(30.0, 100 * degree);
  EXPECT_EQ(law.terms().boundary, 0.0);
}

// Out through the inlet: against the ram, and the leaving head is lost.
TEST(Inlet, SpillsItsLeavingHead) {
  LawCase law = nose_hole(30.0);
  law.state.mass_flow = -flow_of(law, 0.03, 15.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), -1.0, 1e-7);
  EXPECT_NEAR(law.terms().boundary, law.outside.total_pressure, 1e-9);
}

enum LipStyle { flush, protruding };

/// Lip loss in still air, on the throat's head.
double still_lip(LawCase law) {
  run_at(law, 10.0);
  return law.loss() / testing::head_of(law, 0.03);
}

const double throat_diameter = std::sqrt(4.0 * 0.03 / testing::pi);

// A plain end in free air loses a whole head, one flush in a wall half of it, however the lip is described:
// no radius, no reach, no cone (momentum balance; Idelchik, Handbook of Hydraulic Resistance, ch. 3).
TEST(Inlet, LipsWithoutAnyRoundingAreOneHeadOrHalfAHead) {
  for (const LipStyle style : {flush, protruding}) {
    const double plain = style == flush ? 0.5 : 1.0;
    LawCase rounded = nose_hole(0.0);
    EXPECT_NEAR(still_lip(rounded.set("lip_style", style).set("lip_radius", 0.0)), plain, 1e-7);
    LawCase flat = nose_hole(0.0);
    flat.set("lip_style", style).set("lip_cone.length", 0.0).set("lip_cone.angle", 1.0);
    EXPECT_NEAR(still_lip(flat), plain, 1e-7);
    // A cone of 180 degrees is a wall.
    LawCase wall = nose_hole(0.0);
    wall.set("lip_style", style).set("lip_cone.length", 0.2).set("lip_cone.angle", testing::pi);
    EXPECT_NEAR(still_lip(wall), 0.5, 1e-7);
  }
}

// Idelchik, Diagram 3-4 in free air: 0.40 at r/D 0.05, 0.03 from 0.2 on, where the flush lip is as good.
TEST(Inlet, AProtrudingRadiusHasItsOwnTable) {
  LawCase law = nose_hole(0.0);
  law.set("lip_style", protruding);
  EXPECT_NEAR(still_lip(law.set("lip_radius", 0.05 * throat_diameter)), 0.40, 1e-7);
  EXPECT_NEAR(still_lip(law.set("lip_radius", 0.5 * throat_diameter)), 0.03, 1e-7);
  law.set("lip_style", flush);
  EXPECT_NEAR(still_lip(law), 0.03, 1e-3);
}

// Idelchik, Diagram 3-1: a thin end that reaches half a diameter out loses a head, flush half of it; a wall
// of D/20 makes any reach a flush end.
TEST(Inlet, AnEndThatReachesOutLosesByItsWall) {
  LawCase law = nose_hole(0.0);
  EXPECT_NEAR(still_lip(law.set("lip_projection", 0.5 * throat_diameter)), 1.0, 1e-7);
  EXPECT_NEAR(still_lip(law.set("lip_projection", 0.0)), 0.5, 1e-7);
  law.set("lip_projection", 0.5 * throat_diameter);
  EXPECT_NEAR(still_lip(law.set("lip_thickness", 0.02 * throat_diameter)), 0.72, 1e-7);
  EXPECT_NEAR(still_lip(law.set("lip_thickness", 0.05 * throat_diameter)), 0.5, 1e-7);
}

// Idelchik, Diagrams 3-6 and 3-7: l/D 0.15 at 60 degrees prints 0.25 in free air and 0.15 in a wall.
TEST(Inlet, AConicalMouthKnowsWhereItStands) {
  LawCase law = nose_hole(0.0);
  law.set("lip_cone.length", 0.15 * throat_diameter).set("lip_cone.angle", 60 * degree);
  EXPECT_NEAR(still_lip(law), 0.15, 1e-7);
  EXPECT_NEAR(still_lip(law.set("lip_style", protruding)), 0.25, 1e-7);
}

}  // namespace
}  // namespace corefeed::losses
