// SPDX-License-Identifier: Apache-2.0
#include "tests/losses/law_fixture.hpp"

namespace corefeed::losses {
namespace {

using testing::LawCase;

constexpr double area = 0.06;

LawCase fan() {
  LawCase law("fan");
  law.set("area", area).set("curve.shutoff_pressure", 250.0).set("curve.free_flow", 0.8);
  return law.set("curve.density", law.outside.density);
}

/// Pressure rise at a volume flow, by the law's own density.
double rise(LawCase& law, double flow) {
  law.state.mass_flow = law.outside.density * flow;
  for (int i = 0; i < 4; ++i) law.state.mass_flow *= flow / (law.reported("velocity") * area);
  return -law.loss();
}

double density(const LawCase& law) { return law.state.mass_flow / (law.reported("velocity") * area); }

TEST(Fan, FollowsItsCurve) {
  LawCase law = fan();
  // The density in the annulus lies M^2/2 below that of the air at rest: 8e-4 at 13 m/s.
  EXPECT_NEAR(rise(law, 1e-9), 250.0, 1e-6);
  EXPECT_NEAR(rise(law, 0.4), 250.0 * 0.75, 0.1);
  EXPECT_NEAR(rise(law, 0.8), 0.0, 0.2);
  // Pushed back the fan resists with more than its shut-off pressure.
  EXPECT_NEAR(rise(law, -0.4), 250.0 * 1.25, 0.3);
}

// Affinity laws: half the speed gives half the flow and a quarter of the pressure; pressure goes with
// density.
TEST(Fan, ObeysTheAffinityLaws) {
  LawCase law = fan();
  law.set("curve.shaft_speed", 300.0);
  const double full = rise(law, 0.5) / density(law);
  law.set("shaft_speed", 150.0);
  EXPECT_NEAR(rise(law, 0.25) / density(law), 0.25 * full, 1e-9 * full);

  LawCase hot = fan();
  hot.state.temperature_from = 2.0 * 293.15;
  const double thin = rise(hot, 0.5);
  LawCase cold = fan();
  const double dense = rise(cold, 0.5);
  EXPECT_NEAR(thin / density(hot), dense / density(cold), 1e-9 * dense);
  EXPECT_NEAR(thin / dense, 0.5, 1e-3);
}

// Off: a coefficient on the annulus' head; blown through faster than free flow the running fan windmills.
TEST(Fan, IsALossWhenItDoesNotRun) {
  LawCase law = fan();
  law.set("windmill_loss", 1.2).set("stopped_loss", 4.0);
  for (const double velocity : {-10.0, 10.0}) {
    law.state.mass_flow = testing::flow_of(law, area, velocity);
    const double sign = velocity > 0.0 ? 1.0 : -1.0;
    law.fan_state = FanState::freewheeling;
    EXPECT_NEAR(law.loss() / testing::head_of(law, area), sign * 1.2, 1e-7);
    law.fan_state = FanState::stopped;
    EXPECT_NEAR(law.loss() / testing::head_of(law, area), sign * 4.0, 1e-7);
    law.fan_state = FanState::removed;
    EXPECT_NEAR(law.loss() / testing::head_of(law, area), sign * 1.0, 1e-7);
    EXPECT_EQ(law.reported("power"), 0.0);
  }
  law.fan_state = FanState::on;
  rise(law, 4.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, area), 1.2, 1e-7);
}

// Electrical power is air power over efficiency.
TEST(Fan, DrawsPower) {
  LawCase law = fan();
  law.set("efficiency", 0.4);
  const double pressure = rise(law, 0.4);
  EXPECT_NEAR(law.reported("power"), pressure * 0.4 / 0.4, 1e-6);
}

}  // namespace
}  // namespace corefeed::losses
