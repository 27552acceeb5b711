// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/friction.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;
using testing::part_coefficient;

enum Section { round_section, rectangle, annulus, triangle };

constexpr double area = 0.01;
constexpr double diameter = 0.1;

LawCase duct(double length = 2.0) {
  LawCase law = published::incompressible("duct", 1.2);
  return law.set("length", length).set("area", area).set("hydraulic_diameter", diameter);
}

void run_at(LawCase& law, double reynolds) {
  law.state.mass_flow = 1e-3;
  for (int i = 0; i < 20; ++i) law.state.mass_flow *= reynolds / law.reported("reynolds");
}

/// f Re of slow flow.
double laminar_product(Section section, double aspect) {
  LawCase law = duct();
  law.set("section", section).set("aspect", aspect);
  run_at(law, 500.0);
  return law.reported("friction_factor") * 500.0;
}

// Shah & London, Laminar Flow Forced Convection in Ducts, 1978, times 4 for Darcy's f: circle 64, rectangles
// 56.908, 62.192 (1/2), 72.932 (1/4), 82.340 (1/8), 96 (slot); equilateral triangle 53.333; annuli 95.25 at
// radii 1:2, 92.35 at 1:5, 96 for a slot. The transition term of the friction law leaves 1e-6.
TEST(Duct, SlowAirKnowsTheSection) {
  EXPECT_NEAR(laminar_product(round_section, 1.0), 64.0, 1e-3);
  EXPECT_NEAR(laminar_product(rectangle, 1.0), 56.908, 2e-3);
  EXPECT_NEAR(laminar_product(rectangle, 0.5), 62.192, 2e-3);
  EXPECT_NEAR(laminar_product(rectangle, 0.25), 72.932, 2e-3);
  EXPECT_NEAR(laminar_product(rectangle, 0.125), 82.340, 2e-3);
  EXPECT_NEAR(laminar_product(rectangle, 0.0), 96.0, 2e-3);
  EXPECT_NEAR(laminar_product(triangle, 1.0), 53.333, 2e-3);
  EXPECT_NEAR(laminar_product(annulus, 0.5), 95.25, 5e-3);
  EXPECT_NEAR(laminar_product(annulus, 0.2), 92.35, 5e-3);
  EXPECT_NEAR(laminar_product(annulus, 1.0), 96.0, 2e-3);
}

// The section is felt by slow air: in turbulent flow the hydraulic diameter serves all within 5 %.
TEST(Duct, FastAirHardlyKnowsTheSection) {
  LawCase law = duct();
  run_at(law, 1e5);
  const double round_factor = law.reported("friction_factor");
  for (const Section section : {rectangle, triangle}) {
    law.set("section", section);
    EXPECT_NEAR(law.reported("friction_factor") / round_factor, 1.0, 0.05) << section;
  }
}

// A profile that has still to develop costs 0.1 head in fast air and 1.2 in slow air, once.
TEST(Duct, AUniformProfileCostsOnce) {
  for (const auto& [reynolds, extra, within] : {std::tuple{5e5, 0.1, 1e-4}, std::tuple{20.0, 1.2, 1e-3}}) {
    for (const double length : {0.5, 5.0}) {
      LawCase law = duct(length);
      run_at(law, reynolds);
      const double velocity = law.reported("velocity");
      const double head = 0.5 * 1.2 * velocity * std::hypot(velocity, 1e-3);
      const double developed = law.loss();
      law.set("profile", 1.0);
      EXPECT_NEAR((law.loss() - developed) / head, extra, within) << reynolds << ", " << length;
    }
  }
}

TEST(Duct, WallNamesARoughness) {
  LawCase named = duct();
  LawCase given = duct();
  struct Row {
    double word, roughness;
  };
  // molded plastic 1.5 um, rolled steel 0.05 mm, cast 0.26 mm, stretched hose 3 % and compressed 10 % of the
  // bore.
  for (const Row& row : {Row{0, 1.5e-6}, Row{4, 5e-5}, Row{6, 2.6e-4}, Row{8, 0.003}, Row{9, 0.01}}) {
    expect_relative(part_coefficient(named.set("wall", row.word), "friction", area, 30.0),
                    part_coefficient(given.set("roughness", row.roughness), "friction", area, 30.0), 1e-12);
  }
}

// Steady flow of a perfect gas at one temperature along a long duct: p1^2 - p2^2 = f L/D G^2 R T, less the
// little that speeding up costs (Shapiro, The Dynamics and Thermodynamics of Compressible Fluid Flow, 1953,
// ch. 6; from memory). So friction stands on the mean density, not on that of either end, and backwards
// alike.
TEST(Duct, LongDuctsLoseByTheSquaresOfTheirPressures) {
  const double bore = std::sqrt(4.0 * area / testing::pi);
  LawCase straight("duct");
  straight.set("area", area).set("hydraulic_diameter", bore);
  LawCase hose("hose");
  hose.set("bore", bore);
  // At 1.7 m/s, a two-hundredth of the speed of sound: total and static states differ by its square.
  constexpr double flow = 0.02;
  constexpr double within = 1e-4;
  for (LawCase* law : {&straight, &hose}) {
    law->set("length", 2.0).set("roughness", 0.0);
    for (const double direction : {1.0, -1.0}) {
      law->state.mass_flow = direction * flow;
      law->state.pressure_from = direction * 20e3;
      law->state.pressure_to = -direction * 20e3;
      const double ambient = law->outside.pressure;
      const double flux = flow / area;
      const double factor = darcy_friction<double>(law->reported("reynolds"), 0.0);
      const double squares = factor * 2.0 / bore * flux * flux * law->outside.air.gas_constant * 293.15;
      expect_relative(law->terms().item[0] * 2.0 * ambient, direction * squares, within);
    }
  }
}

// 1 - exp(-x/(4 D))/2 of the leaving head, D of the circle of equal area: half is caught by a mouth at
// contact, none by one far away; air that comes back pays its entrance as ever.
void expect_jet_caught(LawCase law, double outlet_area) {
  law.to_plenum = true;
  const double circle = std::sqrt(4.0 * outlet_area / testing::pi);
  const auto left = [&](double velocity) {
    law.state.mass_flow = velocity * 1.2 * outlet_area;
    return law.terms().item[testing::item_place(law, "entrance and exit")] / (0.5 * 1.2 * 400.0);
  };
  // A millimetre per second rounds the head off: 1e-9 at 20 m/s.
  EXPECT_NEAR(left(20.0), 1.0, 1e-8);
  const double back = left(-20.0);
  law.set("opposite_mouth", 0.0);
  EXPECT_NEAR(left(20.0), 0.5, 1e-8);
  law.set("opposite_mouth", 4.0 * circle);
  EXPECT_NEAR(left(20.0), 1.0 - 0.5 * std::exp(-1.0), 1e-8);
  EXPECT_EQ(left(-20.0), back);
  law.set("opposite_mouth", 200.0 * circle);
  EXPECT_NEAR(left(20.0), 1.0, 1e-8);
  law.to_plenum = false;
  law.set("opposite_mouth", 0.0);
  EXPECT_EQ(left(20.0), 0.0);
}

TEST(OppositeMouth, CatchesPartOfTheLeavingJet) {
  expect_jet_caught(duct(), area);
  LawCase hose = published::incompressible("hose", 1.2);
  expect_jet_caught(hose.set("length", 1.0).set("bore", 0.06), testing::pi / 4.0 * 0.0036);
  LawCase bend = published::incompressible("bend", 1.2);
  bend.set("angle", 1.0).set("radius", 0.2).set("area", area).set("hydraulic_diameter", diameter);
  expect_jet_caught(bend, area);
  LawCase diffuser = published::incompressible("diffuser", 1.2);
  diffuser.set("inlet_area", area).set("outlet_area", 0.03).set("length", 0.4);
  expect_jet_caught(diffuser, 0.03);
}

}  // namespace
}  // namespace corefeed::losses
