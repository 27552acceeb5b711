// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/friction.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;
using testing::part_coefficient;

/// A hole of 1 m diameter in a wall of a large space; air so fast that viscosity is forgotten.
constexpr double hole_area = testing::pi / 4.0;
constexpr double fast = 100.0;

LawCase hole() {
  LawCase law = published::incompressible("orifice", 1.2);
  return law.set("area", hole_area).set("roughness", 0.0);
}

double loss_of(const LawCase& law, double velocity = fast) {
  return part_coefficient(law, "orifice", hole_area, velocity);
}

// Idelchik, Diagram 4-15: a hole in a thin wall between two large spaces loses 2.85 heads.
TEST(Orifice, ThinWallLosesWhatIdelchikPrints) { EXPECT_NEAR(loss_of(hole()), 2.85, 0.01); }

// Idelchik, Diagram 4-15, thick walls: the law's expression within 3 %, wall friction apart.
TEST(Orifice, ThickWallsFollowTheTable) {
  struct Row {
    double length, loss;
  };
  for (const Row& row :
       {Row{0.0, 2.85}, Row{0.2, 2.72}, Row{0.4, 2.60}, Row{0.6, 2.34}, Row{0.8, 1.95}, Row{1.0, 1.76},
        Row{1.2, 1.67}, Row{1.4, 1.62}, Row{1.6, 1.60}, Row{1.8, 1.58}, Row{2.0, 1.55}}) {
    LawCase law = hole();
    law.set("thickness", row.length);
    law.state.mass_flow = testing::flow_of(law, hole_area, fast);
    const double friction = darcy_friction<double>(law.reported("reynolds"), 0.0) * row.length;
    expect_relative(loss_of(law) - friction, row.loss, 0.03, "l/D " + std::to_string(row.length));
  }
}

// From l/D 2.4 on nothing of the separated jet is left: entry 0.5 and leaving head.
TEST(Orifice, AHoleThatGuidesTheJetIsAShortDuct) {
  LawCase law = hole();
  law.set("thickness", 3.0);
  law.state.mass_flow = testing::flow_of(law, hole_area, fast);
  const double friction = darcy_friction<double>(law.reported("reynolds"), 0.0) * 3.0;
  EXPECT_NEAR(loss_of(law) - friction, 1.5, 1e-3);
}

// Idelchik, Diagram 4-18, rounded edges of a thin wall, within 5 %.
TEST(Orifice, RoundedEdgesFollowTheTable) {
  struct Row {
    double radius, loss;
  };
  for (const Row& row :
       {Row{0.02, 2.56}, Row{0.04, 2.27}, Row{0.06, 2.06}, Row{0.08, 1.88}, Row{0.12, 1.60}}) {
    LawCase law = hole();
    law.set("edge_radius", row.radius);
    expect_relative(loss_of(law), row.loss, 0.05, "r/D " + std::to_string(row.radius));
  }
}

// Idelchik, Diagram 4-17: discharge coefficient of a thin sharp hole over its Reynolds number, read to 0.01.
TEST(Orifice, ThinHolePassesMoreInSlowAir) {
  struct Row {
    double reynolds, discharge;
  };
  for (const Row& row : {Row{100, 0.70}, Row{1e3, 0.72}, Row{4e3, 0.69}, Row{1e4, 0.66}, Row{1e5, 0.62}}) {
    LawCase law = hole();
    law.state.mass_flow = 1e-3;
    for (int i = 0; i < 40; ++i) law.state.mass_flow *= row.reynolds / law.reported("reynolds");
    const double velocity = law.reported("velocity");
    // The millimetre per second that rounds the head off is felt at the slowest of these speeds.
    const double head = 0.5 * 1.2 * velocity * std::hypot(velocity, 1e-3);
    EXPECT_NEAR(1.0 / std::sqrt(law.loss() / head), row.discharge, 0.012) << row.reynolds;
  }
}

// Slow flow in a thick hole by hand, Lichtarowicz, Duggins & Markland 1965: 1/Cd grows by 20/Re (1 + 2.25
// l/D); at l/D 2 and Re 1000 from 1/0.81 by 0.11, so K by (1 + 0.81 * 0.11)^2 = 1.18614.
TEST(Orifice, ThickHoleLosesMoreInSlowAir) {
  LawCase law = hole();
  law.set("thickness", 2.0);
  law.state.mass_flow = 1e-2;
  const auto at = [&law](double reynolds) {
    for (int i = 0; i < 40; ++i) law.state.mass_flow *= reynolds / law.reported("reynolds");
    const double velocity = law.reported("velocity");
    const double friction = darcy_friction<double>(std::max(reynolds, 1e4), 0.0) * 2.0;
    return law.loss() / (0.5 * 1.2 * velocity * std::hypot(velocity, 1e-3)) - friction;
  };
  expect_relative(at(1000.0) / at(1e8), 1.18614, 1e-4);
}

TEST(Orifice, AsLargeAsTheDuctLosesNothing) {
  LawCase law = hole();
  law.set("upstream_area", hole_area).set("downstream_area", hole_area);
  // A plate of a millionth still has 0.5 * 1e-6^0.75 of entry loss.
  EXPECT_NEAR(loss_of(law), 0.0, 1e-4);
  EXPECT_NEAR(loss_of(law, -fast), 0.0, 1e-4);
}

// A plate in a duct that goes on: the area behind is the one before unless another is given.
TEST(Orifice, TheDuctGoesOnBehindThePlate) {
  LawCase alone = hole();
  LawCase both = hole();
  alone.set("upstream_area", 2.0 * hole_area);
  both.set("upstream_area", 2.0 * hole_area).set("downstream_area", 2.0 * hole_area);
  EXPECT_EQ(loss_of(alone), loss_of(both));
  // Idelchik, Diagram 4-15 by hand, f = 0.5: 0.5 * 0.5^0.75 + 1.3496 * 0.5 * 0.5^0.375 + 0.25.
  const double tau = 2.4 * std::pow(10.0, -0.25);
  EXPECT_NEAR(loss_of(both), 0.5 * std::pow(0.5, 0.75) + tau * std::pow(0.5, 1.375) + 0.25, 1e-4);
}

// A duct behind the hole that ends in a plenum leaves its own head there: (A/A_2)^2 of the hole's, by
// continuity.
TEST(Orifice, APlenumTakesTheHeadOfTheDuctBehind) {
  LawCase law = hole();
  law.set("downstream_area", 2.0 * hole_area);
  law.to_plenum = true;
  expect_relative(part_coefficient(law, "entrance and exit", hole_area, fast), 0.25, 1e-6);
}

// Flow from the other side meets the same hole with its sides changed and a sharp edge.
TEST(Orifice, ReversedIsTheHoleFromTheOtherSide) {
  LawCase law = hole();
  law.set("upstream_area", 1.5 * hole_area).set("downstream_area", 4.0 * hole_area).set("thickness", 0.3);
  LawCase turned = hole();
  turned.set("upstream_area", 4.0 * hole_area).set("downstream_area", 1.5 * hole_area).set("thickness", 0.3);
  law.state.mass_flow = -testing::flow_of(law, hole_area, 12.0);
  turned.state.mass_flow = -law.state.mass_flow;
  expect_relative(law.loss(), -turned.loss(), 1e-9);
  EXPECT_NE(loss_of(law), loss_of(turned));
  const double sharp = loss_of(law);
  law.set("edge_radius", 0.1);
  expect_relative(law.loss(), -turned.loss(), 1e-9);
  // Onward the rounded edge spares its share of entry and jet.
  EXPECT_LT(loss_of(law), 0.8 * sharp);
}

TEST(Orifice, RefusesAHoleLargerThanItsDuct) {
  LawCase law = hole();
  law.set("downstream_area", 0.9 * hole_area);
  const std::string fault = law.kind().contradiction(law.values());
  EXPECT_NE(fault.find("downstream_area is smaller than the hole's area"), std::string::npos) << fault;
}

}  // namespace
}  // namespace corefeed::losses
