// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/conductance_fit.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "tests/support/check.hpp"

namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;

bool has(const std::vector<Issue>& notes, const std::string& code) {
  for (const Issue& note : notes) {
    if (note.code == code) return true;
  }
  return false;
}

std::vector<LossPoint> curve(double a, double b, const std::vector<double>& errors) {
  std::vector<LossPoint> points;
  double velocity = 2;
  for (const double error : errors) {
    points.push_back({velocity, (a * velocity + b * velocity * velocity) * (1 + error)});
    velocity += 2;
  }
  return points;
}

TEST(LossFits, FindTheCoefficientsOfAnExactCurve) {
  const LossFit fit = fit_loss(curve(20, 6, {0, 0, 0, 0, 0})).value();
  expect_relative(fit.linear, 20, 1e-10);
  expect_relative(fit.quadratic, 6, 1e-10);
  EXPECT_NEAR(fit.scatter, 0, 1e-12);
  EXPECT_NEAR(fit.r_squared, 1, 1e-12);
  EXPECT_TRUE(fit.notes.empty());
  EXPECT_GT(fit.exponent, 1.4);
  EXPECT_LT(fit.exponent, 1.85);
}

// Four points, errors +-1 %: the normal equations of the relative departures solved by hand-written sums.
TEST(LossFits, MinimizeTheRelativeDepartures) {
  const std::vector<LossPoint> points = curve(24, 3.1, {0.01, -0.01, -0.01, 0.01});
  double vv = 0;
  double vw = 0;
  double ww = 0;
  double v1 = 0;
  double w1 = 0;
  for (const LossPoint& point : points) {
    const double v = point.velocity / point.loss;
    const double w = point.velocity * v;
    vv += v * v;
    vw += v * w;
    ww += w * w;
    v1 += v;
    w1 += w;
  }
  const double determinant = vv * ww - vw * vw;
  const double a = (v1 * ww - w1 * vw) / determinant;
  const double b = (w1 * vv - v1 * vw) / determinant;
  double square = 0;
  for (const LossPoint& point : points) {
    const double off = (a * point.velocity + b * point.velocity * point.velocity) / point.loss - 1;
    square += off * off;
  }
  const LossFit fit = fit_loss(points).value();
  expect_relative(fit.linear, a, 1e-9);
  expect_relative(fit.quadratic, b, 1e-9);
  expect_relative(fit.scatter, std::sqrt(square / 2), 1e-9);
  // Sigmas are absolute on dp, 4 % of it: the covariance is square/2 times the inverse of the sums.
  expect_relative(fit.sigma_linear, std::sqrt(square / 2 * ww / determinant), 1e-6);
  expect_relative(fit.sigma_quadratic, std::sqrt(square / 2 * vv / determinant), 1e-6);
  EXPECT_GT(fit.r_squared, 0.99);
  EXPECT_LT(fit.r_squared, 1);
}

TEST(LossFits, AWorsePointPullsLess) {
  std::vector<LossPoint> points = curve(24, 3.1, {0, 0, 0, 0, 0.3});
  const double pulled = fit_loss(points).value().quadratic;
  points.back().sigma = 4;
  const double held = fit_loss(points).value().quadratic;
  EXPECT_GT(pulled, 3.5);
  expect_relative(held, 3.1, 1e-3);
}

TEST(LossFits, NeverTurnNegativeAndSaySo) {
  std::vector<LossPoint> straight;
  std::vector<LossPoint> steep;
  for (const double velocity : {2.0, 4.0, 6.0, 8.0}) {
    straight.push_back({velocity, 50 * std::pow(velocity, 0.8)});
    steep.push_back({velocity, 5 * std::pow(velocity, 2.3)});
  }
  const LossFit first = fit_loss(straight).value();
  EXPECT_EQ(first.quadratic, 0);
  EXPECT_GT(first.linear, 0);
  EXPECT_TRUE(has(first.notes, "no_quadratic_loss"));
  EXPECT_TRUE(has(first.notes, "loss_exponent"));
  EXPECT_NEAR(first.exponent, 0.8, 1e-12);
  const LossFit second = fit_loss(steep).value();
  EXPECT_EQ(second.linear, 0);
  EXPECT_GT(second.quadratic, 0);
  EXPECT_TRUE(has(second.notes, "no_linear_loss"));
}

TEST(LossFits, RefuseWhatIsNoCurve) {
  EXPECT_EQ(fit_loss(curve(24, 3, {0, 0, 0})).issues()[0].code, "too_few_points");
  const std::vector<LossPoint> one_velocity(5, LossPoint{6, 250});
  EXPECT_EQ(fit_loss(one_velocity).issues()[0].code, "too_few_points");
  std::vector<LossPoint> broken = curve(24, 3, {0, 0, 0, 0});
  broken[1].loss = -3;
  broken[2].velocity = std::nan("");
  EXPECT_EQ(fit_loss(broken).issues().size(), 2U);
}

TEST(HeatPoints, GiveBackTheConductanceBehindThem) {
  const double conductance = 1500;
  const double air = 1.3 * 1008;
  const double liquid = 2.0 * 3630;
  const double share = crossflow_both_unmixed<double>(conductance / air, air / liquid);
  const HeatPoint point{1.3, 2.0, 1008, 3630, 62, share * air * 62};
  expect_relative(conductance_of(point, Layout{}).value(), conductance, 1e-9);
  HeatPoint impossible = point;
  impossible.heat = 1.01 * air * 62;
  EXPECT_EQ(conductance_of(impossible, Layout{}).issues()[0].code, "effectiveness_out_of_reach");
  impossible.inlet_difference = -1;
  EXPECT_EQ(conductance_of(impossible, Layout{}).issues()[0].code, "out_of_range");
}

std::vector<ConductancePoint> radiator(const std::vector<double>& air, const std::vector<double>& liquid,
                                       double exponent, double wall = 0) {
  std::vector<ConductancePoint> points;
  for (const double a : air) {
    for (const double l : liquid) {
      const double resistance = 1 / (2500 * std::pow(a, exponent)) + 1 / (9000 * std::pow(l, 0.8)) + wall;
      points.push_back({a, l, 1 / resistance});
    }
  }
  return points;
}

TEST(ConductanceFits, FindBothSidesAndTheAirExponent) {
  const auto points = radiator({0.5, 1.0, 1.6}, {0.8, 1.6}, 0.47);
  const ConductanceFit fit = fit_conductance(points, {}).value();
  EXPECT_TRUE(fit.air_exponent_fitted);
  EXPECT_FALSE(fit.split_assumed);
  // A minimum's place is known to half the digits.
  EXPECT_NEAR(fit.air_exponent, 0.47, 1e-5);
  expect_relative(fit.air_value, 2500 * std::pow(fit.air_flow, 0.47), 1e-4);
  expect_relative(fit.liquid_value, 9000 * std::pow(fit.liquid_flow, 0.8), 1e-3);
  EXPECT_NEAR(fit.air_flow, std::cbrt(0.5 * 1.0 * 1.6), 1e-12);
  EXPECT_NEAR(fit.scatter, 0, 1e-6);
  EXPECT_NEAR(fit.r_squared, 1, 1e-9);
  EXPECT_TRUE(fit.notes.empty());
  for (const ConductancePoint& point : points) {
    expect_relative(fit.conductance(point.air_flow, point.liquid_flow), point.conductance, 1e-6);
  }
}

TEST(ConductanceFits, KeepTheExponentsWhereTheDataAreFew) {
  const auto three = radiator({0.5, 1.0, 1.6}, {1.0}, 0.5);
  const ConductanceFit fit = fit_conductance(three, {}).value();
  EXPECT_FALSE(fit.air_exponent_fitted);
  EXPECT_EQ(fit.air_exponent, 0.5);
  expect_relative(fit.air_value, 2500 * std::pow(fit.air_flow, 0.5), 1e-9);
  expect_relative(fit.liquid_value, 9000, 1e-9);
}

TEST(ConductanceFits, TakeAKnownWallOff) {
  ConductanceOptions options;
  options.wall_resistance = 3e-5;
  const ConductanceFit fit =
      fit_conductance(radiator({0.5, 1.0, 1.6}, {0.8, 1.6}, 0.5, 3e-5), options).value();
  EXPECT_NEAR(fit.air_exponent, 0.5, 1e-5);
  expect_relative(fit.liquid_value, 9000 * std::pow(fit.liquid_flow, 0.8), 1e-3);
}

TEST(ConductanceFits, HoldTheAirExponentAndSaySo) {
  const auto points = radiator({0.5, 1.0, 1.6}, {0.8, 1.6}, 0.9);
  const ConductanceFit fit = fit_conductance(points, {}).value();
  EXPECT_NEAR(fit.air_exponent, largest_air_exponent, 1e-3);
  EXPECT_TRUE(has(fit.notes, "air_exponent_at_its_bound"));
  EXPECT_GT(fit.scatter, 0.01);
  // Six points, three unknowns: the departures of 1/UA over three degrees of freedom.
  double square = 0;
  for (const ConductancePoint& point : points) {
    square += std::pow(point.conductance / fit.conductance(point.air_flow, point.liquid_flow) - 1, 2);
  }
  expect_relative(fit.scatter, std::sqrt(square / 3), 1e-9);
}

TEST(ConductanceFits, SayWhenOneSideVanishes) {
  std::vector<ConductancePoint> points;
  for (const double a : {0.5, 1.0, 1.6}) {
    for (const double l : {0.8, 1.6}) {
      // More liquid, less conductance: no liquid resistance can do that.
      points.push_back({a, l, 2000 * std::sqrt(a) * std::pow(l, -0.1)});
    }
  }
  const ConductanceFit fit = fit_conductance(points, {}).value();
  EXPECT_TRUE(std::isinf(fit.liquid_value));
  EXPECT_TRUE(has(fit.notes, "conductance_without_resistance"));
  EXPECT_TRUE(std::isfinite(fit.conductance(1.0, 1.0)));
}

TEST(ConductanceFits, OnePointIsSplitByRule) {
  const std::vector<ConductancePoint> one{{1.2, 1.8, 1600}};
  const ConductanceFit radiator_fit = fit_conductance(one, {}).value();
  EXPECT_TRUE(radiator_fit.split_assumed);
  EXPECT_TRUE(has(radiator_fit.notes, "conductance_split_assumed"));
  expect_relative(radiator_fit.air_value, 1600 / 0.8, 1e-12);
  expect_relative(radiator_fit.liquid_value, 1600 / 0.2, 1e-12);
  expect_relative(radiator_fit.conductance(1.2, 1.8), 1600, 1e-12);
  EXPECT_EQ(radiator_fit.scatter, one_point_sigma);
  ConductanceOptions oil;
  oil.air_share = 0.5;
  oil.liquid_exponent = 0.35;
  expect_relative(fit_conductance(one, oil).value().liquid_value, 3200, 1e-12);
}

/// Air flows that lie close together, measured to 3 %.
TEST(ConductanceFits, SayHowPoorlyTheyKnowTheTwo) {
  std::vector<ConductancePoint> points = radiator({1.0, 1.05, 1.1}, {2.0}, 0.5);
  points[0].conductance *= 1.03;
  points[1].conductance *= 0.97;
  points[2].conductance *= 1.03;
  const ConductanceFit fit = fit_conductance(points, {}).value();
  const double worst = std::max(fit.sigma_air, fit.sigma_liquid);
  EXPECT_GT(worst, 0.5);
  const auto note = std::ranges::find(fit.notes, std::string("conductance_uncertain"), &Issue::code);
  ASSERT_NE(note, fit.notes.end());
  EXPECT_EQ(note->severity, Severity::warning);
  EXPECT_EQ(note->text, "the heat test knows the weaker of its two conductances only to " +
                            std::to_string(std::lround(100 * worst)) +
                            " %; give points at two air flows and two liquid flows far apart");
}

TEST(ConductanceFits, RefuseWhatIsNoTest) {
  EXPECT_EQ(fit_conductance({}, {}).issues()[0].code, "too_few_points");
  const std::vector<ConductancePoint> broken{{1.2, -1, 1600}, {1.2, 1, std::nan("")}};
  EXPECT_EQ(fit_conductance(broken, {}).issues().size(), 2U);
  ConductanceOptions thick;
  thick.wall_resistance = 1e-3;
  const std::vector<ConductancePoint> one{{1.2, 1.8, 1600}};
  EXPECT_EQ(fit_conductance(one, thick).issues()[0].code, "out_of_range");
}

}  // namespace
}  // namespace corefeed::cooling
