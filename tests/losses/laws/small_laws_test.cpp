// SPDX-License-Identifier: Apache-2.0
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// Limits of the laws that a page has room for: flap, leak, plain loss, contraction, step.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::flow_of;
using testing::LawCase;

// Open with the flow, shut against it; at 5 m/s tanh(10) leaves 4e-9 of the other coefficient.
TEST(Flap, OpensOneWayOnly) {
  LawCase law("flap");
  law.set("area", 0.03).set("loss", 1.9).set("reverse_loss", 400.0);
  law.state.mass_flow = flow_of(law, 0.03, 5.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), 1.9, 1e-5);
  law.state.mass_flow = flow_of(law, 0.03, -5.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, 0.03), -400.0, 1e-4);
}

// Slow flow in a plane slot: 12 mu V l / g^2 (plane Poiseuille flow) and 1.5 heads at the ends.
TEST(Leak, SlotTendsToPlanePoiseuilleFlow) {
  LawCase law("leak");
  const double gap = 0.5e-3;
  const double depth = 0.05;
  law.set("gap", gap).set("length", 0.8).set("depth", depth);
  for (const double velocity : {-2.0, 1.0, 4.0}) {
    law.state.mass_flow = flow_of(law, gap * 0.8, velocity);
    const double v = law.reported("velocity");
    const double viscous = 12.0 * law.outside.air.viscosity(293.15) * v * depth / (gap * gap);
    const double ends = 1.5 * testing::head_of(law, gap * 0.8) * (v > 0.0 ? 1.0 : -1.0);
    // Churchill's expression holds its laminar branch to 1e-6 at Re 270, the highest here.
    expect_relative(law.loss() - ends, viscous, 1e-5, "slot");
  }
}

TEST(Leak, HoleHasItsDischargeCoefficient) {
  LawCase law("leak");
  law.set("area", 0.001).set("discharge_coefficient", 0.65);
  law.state.mass_flow = flow_of(law, 0.001, 10.0);
  expect_relative(law.loss() / testing::head_of(law, 0.001), 1.0 / (0.65 * 0.65), 1e-7);
}

// dp = K G^2 / (2 rho) with the density of the side that the stream comes from: its pressure and temperature,
// not the mean of both ends. Mass flux and perfect gas give it without the law.
TEST(PlainLoss, StandsOnTheDensityThatTheStreamBrings) {
  LawCase law("loss");
  law.set("area", 0.01).set("loss", 1.5);
  law.state.pressure_from = 20e3;
  law.state.temperature_from = 320.0;
  law.state.temperature_to = 280.0;
  for (const double direction : {1.0, -1.0}) {
    law.state.mass_flow = direction * 0.02;
    const double pressure = law.outside.pressure + (direction > 0.0 ? 20e3 : 0.0);
    const double density = pressure / (law.outside.air.gas_constant * (direction > 0.0 ? 320.0 : 280.0));
    // At 1.5 m/s total and static densities differ by 1e-5.
    expect_relative(law.loss(), direction * 1.5 * 2.0 * 2.0 / (2.0 * density), 1e-4);
  }
}

TEST(Contraction, RefusesToWiden) {
  LawCase law("contraction");
  law.set("inlet_area", 0.02).set("outlet_area", 0.05);
  EXPECT_NE(law.kind().contradiction(law.values()).find("larger"), std::string::npos);
  law.set("outlet_area", 0.01);
  EXPECT_EQ(law.kind().contradiction(law.values()), "");
}

// A step seen from the other side is the same piece: loss against flow with both signs turned.
TEST(Step, IsTheSameFromBothSides) {
  LawCase wider("step");
  wider.set("inlet_area", 0.02).set("outlet_area", 0.05).set("edge_radius", 0.002);
  LawCase narrower("step");
  narrower.set("inlet_area", 0.05).set("outlet_area", 0.02).set("edge_radius", 0.002);
  for (const double velocity : {-20.0, -0.4, 0.4, 20.0}) {
    wider.state.mass_flow = flow_of(wider, 0.02, velocity);
    narrower.state.mass_flow = -wider.state.mass_flow;
    expect_relative(wider.loss(), -narrower.loss(), 1e-12, "step");
    wider.to_plenum = narrower.from_plenum = true;
    expect_relative(wider.loss(), -narrower.loss(), 1e-12, "step at a plenum");
    wider.to_plenum = narrower.from_plenum = false;
  }
}

// A step and a contraction of the same areas agree.
TEST(Step, NarrowsLikeAContraction) {
  LawCase step("step");
  step.set("inlet_area", 0.05).set("outlet_area", 0.02);
  LawCase contraction("contraction");
  contraction.set("inlet_area", 0.05).set("outlet_area", 0.02);
  for (const double velocity : {-15.0, 15.0}) {
    step.state.mass_flow = contraction.state.mass_flow = flow_of(step, 0.02, velocity);
    expect_relative(step.loss(), contraction.loss(), 1e-12, "narrowing");
  }
}

}  // namespace
}  // namespace corefeed::losses
