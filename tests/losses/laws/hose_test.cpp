// SPDX-License-Identifier: Apache-2.0
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

constexpr double bore = 0.063;
constexpr double bore_area = testing::pi * bore * bore / 4.0;

LawCase hose() {
  LawCase law("hose");
  return law.set("length", 1.5).set("bore", bore);
}

LawCase duct() {
  LawCase law("duct");
  return law.set("length", 1.5).set("area", bore_area).set("hydraulic_diameter", bore);
}

void expect_the_same(LawCase hose, LawCase duct) {
  for (const double velocity : {-40.0, -3.0, -0.1, 0.02, 0.5, 8.0, 60.0}) {
    hose.state.mass_flow = duct.state.mass_flow = testing::flow_of(duct, bore_area, velocity);
    // The circle's area differs in the last bit.
    expect_relative(hose.loss(), duct.loss(), 1e-12, "loss");
    expect_relative(hose.reported("reynolds"), duct.reported("reynolds"), 1e-12, "Re");
  }
}

TEST(Hose, IsADuctOfTheSameBore) {
  expect_the_same(hose(), duct());
  LawCase rough_hose = hose();
  LawCase rough_duct = duct();
  expect_the_same(rough_hose.set("roughness", 3e-4), rough_duct.set("roughness", 3e-4));
  LawCase wound_hose = hose();
  LawCase wound_duct = duct();
  expect_the_same(wound_hose.set("wall", 9.0), wound_duct.set("wall", 9.0));
}

TEST(Hose, HasTheDuctsEndsAtPlenums) {
  for (const bool at_start : {true, false}) {
    LawCase one = hose();
    LawCase other = duct();
    (at_start ? one.from_plenum : one.to_plenum) = true;
    (at_start ? other.from_plenum : other.to_plenum) = true;
    expect_the_same(one, other);
    one.set("opposite_mouth", 0.1).set("entrance_loss", 0.8);
    other.set("opposite_mouth", 0.1).set("entrance_loss", 0.8);
    expect_the_same(one, other);
  }
}

// Hagen-Poiseuille: 32 mu V L / D^2 in slow air.
TEST(Hose, SlowAirFollowsHagenPoiseuille) {
  LawCase law = hose();
  law.state.mass_flow = testing::flow_of(law, bore_area, 0.1);
  const double viscosity = law.outside.air.viscosity(293.15);
  const double velocity = law.reported("velocity");
  // 1 mm/s rounds the head off: 5e-5 at 0.1 m/s, and the Reynolds number in the friction alike cancels it.
  expect_relative(law.loss(), 32.0 * viscosity * velocity * 1.5 / (bore * bore), 1e-6);
}

}  // namespace
}  // namespace corefeed::losses
