// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <vector>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

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

// n ~ U^0.9: a battery at 12 V instead of the test's 13.5 V.
TEST(Fan, TurnsWithItsVoltage) {
  LawCase law = fan();
  law.set("curve.supply_voltage", 13.5);
  const double full = rise(law, 0.5) / density(law);
  law.set("supply_voltage", 12.0);
  const double ratio = std::pow(12.0 / 13.5, 0.9);
  EXPECT_NEAR(rise(law, 0.5 * ratio) / density(law), ratio * ratio * full, 1e-9 * full);
}

// Diameter 276 mm: 2 mm at the tips are within 1 %, 4 mm are not.
TEST(Fan, LosesPressureAtItsTips) {
  LawCase law = fan();
  const double close = rise(law, 0.3);
  law.set("tip_clearance", 0.002);
  EXPECT_EQ(rise(law, 0.3), close);
  law.set("tip_clearance", 0.004);
  EXPECT_NEAR(rise(law, 0.3), 0.9 * close, 1e-9 * close);
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

const std::vector<double> flows{0.0, 0.2, 0.5, 0.8, 1.0};
const std::vector<double> rises{300.0, 270.0, 180.0, 70.0, -10.0};

LawCase tested_fan() {
  LawCase law("fan");
  law.set("area", area).set_curve("curve.points", flows, rises);
  return law.set("curve.density", law.outside.density);
}

/// Density in the annulus over that of the test: below 1 by M^2/2.
double thinner(const LawCase& law) { return density(law) / law.outside.density; }

TEST(Fan, PassesThroughItsPoints) {
  LawCase law = tested_fan();
  for (std::size_t i = 1; i < flows.size(); ++i) {
    const double found = rise(law, flows[i]);
    // The fan never takes more than a wheel that windmills; here it takes less.
    testing::expect_relative(found, rises[i] * thinner(law), 1e-6, "rise");
    testing::expect_relative(law.reported("share_of_tested_flow"), flows[i], 1e-6, "share");
  }
  EXPECT_NEAR(rise(law, 1e-9), 300.0, 1e-5);
}

// Affinity: at half the shaft speed every point moves to half its flow and a quarter of its pressure.
TEST(Fan, PointsObeyTheAffinityLaws) {
  LawCase law = tested_fan();
  law.set("curve.shaft_speed", 300.0).set("shaft_speed", 150.0);
  for (std::size_t i = 1; i < flows.size(); ++i) {
    const double found = rise(law, 0.5 * flows[i]);
    testing::expect_relative(found, 0.25 * rises[i] * thinner(law), 1e-6, "rise");
    testing::expect_relative(law.reported("share_of_tested_flow"), flows[i], 1e-6, "share");
  }
}

// A curve of static pressure has lost the annulus's head: total rise is static rise and q by definition, and
// what the network sees of it is the static rise less nothing but that head.
TEST(Fan, AStaticCurveThrowsItsHeadAway) {
  LawCase total = tested_fan();
  LawCase only_static = tested_fan();
  only_static.set("curve.pressure", 1.0);
  for (const double flow : {0.2, 0.5, 0.7}) {
    const double difference = rise(total, flow) - rise(only_static, flow);
    testing::expect_relative(difference, testing::head_of(only_static, area), 1e-6, "head");
  }
  // Nothing is thrown away by a flow that comes back.
  EXPECT_EQ(rise(total, -0.3), rise(only_static, -0.3));
}

TEST(Fan, ResistsBeyondBothEndsOfItsPoints) {
  LawCase law = tested_fan();
  law.set("windmill_loss", 1e3);
  EXPECT_GT(rise(law, -0.2), 300.0);
  EXPECT_GT(rise(law, -0.6), rise(law, -0.2));
  // At least as steep as from the top to free flow, 300 Pa over 1 m3/s.
  EXPECT_LE(rise(law, 1.2), -10.0 - 0.2 * 300.0 * thinner(law) + 1e-6);
  EXPECT_GT(law.reported("share_of_tested_flow"), 1.19);
}

TEST(Fan, SaysWhereItMayStall) {
  EXPECT_EQ(tested_fan().kind().mended(tested_fan().values()), "");
  EXPECT_TRUE(tested_fan().kind().monotone_of(tested_fan().values()));
  LawCase stalling("fan");
  stalling.set("area", area);
  stalling.set_curve("curve.points", {0.0, 0.2, 0.3, 0.4, 0.8}, {200.0, 150.0, 160.0, 165.0, 10.0});
  EXPECT_FALSE(stalling.kind().monotone_of(stalling.values()));
  const std::string text = stalling.kind().mended(stalling.values());
  EXPECT_NE(text.find("rises between 720 m3/h and 1440 m3/h"), std::string::npos) << text;
  EXPECT_NE(text.find("more than one operating point"), std::string::npos) << text;
}

TEST(Fan, RefusesPointsThatAreNoFan) {
  LawCase law("fan");
  law.set("area", area).set_curve("curve.points", {-0.1, 0.2, 0.5}, {200.0, 100.0, 0.0});
  EXPECT_NE(law.kind().contradiction(law.values()).find("negative volume flow"), std::string::npos);
  law.set_curve("curve.points", {0.0, 0.2, 0.5}, {0.0, -10.0, -30.0});
  EXPECT_NE(law.kind().contradiction(law.values()).find("no point of the curve"), std::string::npos);
  EXPECT_EQ(tested_fan().kind().contradiction(tested_fan().values()), "");
}

// Leaving head and a sharp plate of what the blades leave open; b = 0.45 by hand:
// 1 + (0.707 * 0.670820 + 0.45)^2 / 0.3025 = 3.82431.
TEST(Fan, LocksByTheBlockageOfItsBlades) {
  LawCase law = fan();
  law.fan_state = FanState::stopped;
  law.set("blade_blockage", 0.45);
  law.state.mass_flow = testing::flow_of(law, area, 10.0);
  const double plate = std::pow(0.707 * std::sqrt(0.45) + 0.45, 2.0) / (0.55 * 0.55);
  EXPECT_NEAR(law.loss() / testing::head_of(law, area), 1.0 + plate, 1e-6);
  EXPECT_NEAR(1.0 + plate, 3.8, 0.05);
  // Without blades the ring's leaving head is left.
  law.set("blade_blockage", 0.0);
  EXPECT_NEAR(law.loss() / testing::head_of(law, area), 1.0, 1e-5);
}

TEST(Fan, LosesATenthCloseBehindABend) {
  LawCase law = fan();
  const double alone = rise(law, 0.3);
  const double diameter = std::sqrt(4.0 * area / testing::pi);
  law.set("upstream.fitting", 0.0);
  law.set("upstream.distance", 0.0);
  testing::expect_relative(rise(law, 0.3), 0.9 * alone, 1e-9);
  law.set("upstream.distance", 4.0 * diameter);
  testing::expect_relative(rise(law, 0.3), (1.0 - 0.1 * std::exp(-1.0)) * alone, 1e-9);
  law.set("upstream.distance", 100.0 * diameter);
  testing::expect_relative(rise(law, 0.3), alone, 1e-9);
}

}  // namespace
}  // namespace corefeed::losses
