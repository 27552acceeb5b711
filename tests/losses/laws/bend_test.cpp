// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/friction.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

// What the bend's choices do beside the printed tables, which stand with the published checks.
namespace corefeed::losses {
namespace {

using testing::degree;
using testing::expect_relative;
using testing::LawCase;
using testing::part_coefficient;

enum Style { smooth, mitre, segmented, vaned, stamped };
enum Fitting { bend_opposed, bend_same_way, bend_twisted, diffuser };

/// A round elbow of 90 degrees.
LawCase elbow(Style style, double diameter, double radius_ratio) {
  LawCase law = published::incompressible("bend", 1.2);
  law.set("style", style).set("angle", 90 * degree).set("hydraulic_diameter", diameter);
  law.set("area", testing::pi / 4.0 * diameter * diameter);
  return law.set("radius", radius_ratio * diameter);
}

/// Of the turn alone, in air so fast that the laminar share is below 1e-9 and Re above 2e5.
double turn_loss(const LawCase& law) {
  return part_coefficient(law, "bend", law.numbers[find_key(law.kind(), "area")], 500.0);
}

// ASHRAE Fundamentals 2005, fitting CR3-3: one splitter vane, R/b 0.8 and a/b 1 print 0.09; A1 beside it.
TEST(Bend, ASplitterVaneHasItsOwnTable) {
  // Square of 0.3 m: D_h is the side.
  LawCase law = elbow(smooth, 0.3, 0.8);
  const double open = turn_loss(law);
  law.set("vanes", 1.0);
  expect_relative(turn_loss(law), 0.09, 1e-6);
  EXPECT_LT(turn_loss(law), open);
  law.set("angle", 45 * degree);
  expect_relative(turn_loss(law), 0.9 * std::sin(45 * degree) * 0.09, 1e-6);
}

// Idelchik, Diagram 6-1, factor of a section's form: 0.85 + 0.125 b/a up to a/b 4, 1.115 - 0.84 b/a beyond;
// that is 1.01 at 8 and 0.975 at 1 and both forms within 3 % at 4. The radius over the side in the bend's
// plane stays.
TEST(Bend, TallSectionsHaveTheirFactor) {
  const auto loss = [](double aspect) {
    LawCase law = elbow(smooth, 0.3, 1.5);
    law.set("aspect", aspect);
    return turn_loss(law.set("radius", 1.5 * 0.3 * (1.0 + aspect) / (2.0 * aspect)));
  };
  expect_relative(loss(8.0) / loss(1.0), 1.01 / 0.975, 1e-9);
  expect_relative(loss(6.0) / loss(1.0), 0.975 / 0.975, 1e-9);
  expect_relative(loss(0.5) / loss(1.0), 1.1 / 0.975, 1e-9);
}

// Idelchik, Diagram 6-1: what the wall costs is that of a straight duct as long as the arc, f R delta/D.
TEST(Bend, FrictionGoesAlongTheArc) {
  LawCase law = elbow(smooth, 0.2, 2.0);
  law.set("roughness", 0.0);
  for (const double turn : {30.0, 90.0, 180.0}) {
    law.set("angle", turn * degree);
    const double found = part_coefficient(law, "friction", testing::pi / 4.0 * 0.04, 30.0);
    law.state.mass_flow = testing::flow_of(law, testing::pi / 4.0 * 0.04, 30.0);
    const double factor = darcy_friction<double>(law.reported("reynolds"), 0.0);
    expect_relative(found, factor * 2.0 * turn * degree, 1e-7);
  }
}

// Thin circular-arc vanes in a square corner lose 0.20 of the head at 90 degrees.
TEST(Bend, VanesLoseAFifthOfTheHead) { expect_relative(turn_loss(elbow(vaned, 0.3, 1.0)), 0.20, 1e-6); }

TEST(Bend, RefusesMoreThanOneSplitterVane) {
  LawCase law = elbow(smooth, 0.3, 0.8);
  law.set("vanes", 2.0);
  EXPECT_NE(law.kind().contradiction(law.values()).find("\"style\": \"vaned\""), std::string::npos);
  law.set("style", vaned);
  EXPECT_EQ(law.kind().contradiction(law.values()), "");
}

TEST(Bend, CurvedStylesNeedTheirRadius) {
  for (const Style style : {smooth, segmented, stamped}) {
    LawCase law = elbow(style, 0.2, 1.0);
    EXPECT_EQ(law.kind().contradiction(law.values()), "");
    law.given &= ~(std::uint64_t{1} << find_key(law.kind(), "radius"));
    EXPECT_NE(law.kind().contradiction(law.values()), "") << style;
    law.set("style", mitre);
    EXPECT_EQ(law.kind().contradiction(law.values()), "");
  }
}

// ASHRAE Fundamentals 2009, fitting CD3-12: three pieces at R/D 1.5 print 0.34, whatever the diameter.
TEST(Bend, ThreePiecesDoNotKnowTheDiameter) {
  for (const double diameter : {0.08, 0.2, 0.6}) {
    LawCase law = elbow(segmented, diameter, 1.5);
    expect_relative(turn_loss(law.set("segments", 3.0)), 0.34, 1e-6);
  }
}

// Fitting CD3-9 of the same handbook at R/D 1.5: 0.51 at 75 mm and 0.28 at 150 mm; five pieces if not said.
TEST(Bend, FivePiecesAreTheStandard) {
  for (const auto& [diameter, loss] : {std::pair{0.0762, 0.51}, std::pair{0.1524, 0.28}}) {
    LawCase law = elbow(segmented, diameter, 1.5);
    expect_relative(turn_loss(law), loss, 1e-6);
    expect_relative(turn_loss(law.set("segments", 5.0)), loss, 1e-6);
  }
}

TEST(Bend, MorePiecesLoseLess) {
  for (const double radius : {0.75, 1.0, 1.5, 2.0}) {
    double before = 1.0;
    for (const double pieces : {3.0, 4.0, 5.0}) {
      LawCase law = elbow(segmented, 0.25, radius);
      const double now = turn_loss(law.set("segments", pieces));
      EXPECT_LT(now, before) << radius << ", " << pieces;
      before = now;
    }
  }
}

// Fitting CD3-1 at R/D 1.5: 0.14 at 150 mm; wider turns as the square root of R/D (as the smooth bend).
TEST(Bend, StampedFromTwoHalves) {
  expect_relative(turn_loss(elbow(stamped, 0.1524, 1.5)), 0.14, 1e-6);
  expect_relative(turn_loss(elbow(stamped, 0.1524, 6.0)), 0.07, 1e-6);
}

// The wall's material is a roughness: galvanized steel 0.15 mm; a wire-wound hose is rough in proportion.
TEST(Bend, WallNamesARoughness) {
  LawCase named = elbow(smooth, 0.1, 2.0);
  LawCase given = elbow(smooth, 0.1, 2.0);
  const auto friction = [](const LawCase& law) {
    return part_coefficient(law, "friction", 0.00785398, 30.0);
  };
  expect_relative(friction(named.set("wall", 5.0)), friction(given.set("roughness", 1.5e-4)), 1e-12);
  expect_relative(friction(named.set("wall", 8.0)), friction(given.set("roughness", 0.03 * 0.1)), 1e-12);
  LawCase thick = elbow(smooth, 0.2, 2.0);
  expect_relative(friction(thick.set("wall", 8.0)), friction(thick.set("roughness", 0.006)), 1e-12);
}

// 1 + (c_0 - 1) exp(-x/(4 D)) on the turn: c_0 at contact, 1/e of the excess at 4 D, none far behind.
TEST(Bend, FeelsWhatStandsCloseBeforeIt) {
  const double diameter = 0.2;
  const double alone = turn_loss(elbow(smooth, diameter, 1.5));
  for (const auto& [fitting, adjacent] : {std::pair{bend_opposed, 1.3}, std::pair{bend_same_way, 0.8},
                                          std::pair{bend_twisted, 1.1}, std::pair{diffuser, 1.3}}) {
    LawCase law = elbow(smooth, diameter, 1.5);
    law.set("upstream.fitting", fitting);
    expect_relative(turn_loss(law.set("upstream.distance", 0.0)) / alone, adjacent, 1e-9);
    expect_relative(turn_loss(law.set("upstream.distance", 4.0 * diameter)) / alone,
                    1.0 + (adjacent - 1.0) * std::exp(-1.0), 1e-9);
    expect_relative(turn_loss(law.set("upstream.distance", 100.0 * diameter)) / alone, 1.0, 1e-9);
  }
}

// 800/Re of slow flow (Hooper 1981, for elbows, from memory) is that of a turn that loses something; of one
// that loses 0.005 the whole would make the loss fall where it fades, at Re 2400 to 8000.
TEST(Bend, AGentleTurnLosesMoreAtMoreFlow) {
  LawCase law = elbow(smooth, 0.2, 2.0);
  law.set("angle", 12 * degree).set("vanes", 1.0);
  ASSERT_LT(turn_loss(law), 0.01);
  double before = 0.0;
  for (double velocity = 0.05; velocity < 2.0; velocity *= 1.01) {
    law.state.mass_flow = testing::flow_of(law, testing::pi * 0.01, velocity);
    const double loss = law.terms().pressure_loss();
    EXPECT_GT(loss, before) << velocity;
    before = loss;
  }
}

// Walls and ends of the bend do not feel it.
TEST(Bend, OnlyTheTurnFeelsItsNeighbor) {
  LawCase law = elbow(smooth, 0.2, 1.5);
  law.to_plenum = true;
  const double area = testing::pi * 0.01;
  const double friction = part_coefficient(law, "friction", area);
  const double ends = part_coefficient(law, "entrance and exit", area);
  law.set("upstream.fitting", bend_opposed).set("upstream.distance", 0.0);
  EXPECT_EQ(part_coefficient(law, "friction", area), friction);
  EXPECT_EQ(part_coefficient(law, "entrance and exit", area), ends);
}

}  // namespace
}  // namespace corefeed::losses
