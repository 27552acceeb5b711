// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/curve.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;

std::vector<double> ordinates(double (*law)(double), const std::vector<double>& x) {
  std::vector<double> y;
  for (const double one : x) y.push_back(law(one));
  return y;
}

// A fan's parabola: two points an interval and the parabola's own slopes leave no freedom to a cubic.
TEST(Curve, GivesAParabolaBackBetweenItsPoints) {
  const auto fan = [](double x) { return 250.0 - 40.0 * x - 130.0 * x * x; };
  const std::vector<double> x{0.0, 0.1, 0.25, 0.6, 0.7, 1.1};
  const Curve curve(x, ordinates(fan, x), 0, false);
  for (int i = 0; i <= 1100; ++i) {
    const double at = 0.001 * i;
    EXPECT_NEAR(curve.value(at), fan(at), 1e-12 * 250.0) << at;
    EXPECT_NEAR(curve.slope(at), -40.0 - 260.0 * at, 1e-11 * 250.0) << at;
  }
}

// A loss with a linear share begins with a slope of its own, which the added point at rest keeps.
TEST(Curve, GivesALossBackDownToRest) {
  const auto loss = [](double x) { return 20.0 * x + 600.0 * x * x; };
  const std::vector<double> x{0.1, 0.2, 0.5};
  const Curve curve(x, ordinates(loss, x), 0, true);
  ASSERT_EQ(curve.x().size(), 4u);
  EXPECT_EQ(curve.first(), 0.0);
  EXPECT_EQ(curve.y().front(), 0.0);
  EXPECT_EQ(curve.first_measured(), 0.1);
  for (int i = 0; i <= 50; ++i) EXPECT_NEAR(curve.value(0.01 * i), loss(0.01 * i), 1e-11) << i;
}

// A pure square law would have no slope at rest: the curve keeps 2 % of the first chord's, which lifts the
// first interval by 0.02 * 4/27 of its end at most (the cubic's t (1 - t)^2) and leaves the others alone.
TEST(Curve, KeepsASlopeAtRest) {
  const auto loss = [](double x) { return 800.0 * x * x; };
  const std::vector<double> x{0.1, 0.2, 0.4};
  const Curve curve(x, ordinates(loss, x), 0, true);
  expect_relative(curve.slope(0.0), 0.02 * 8.0 / 0.1, 1e-12);
  for (int i = 1; i <= 100; ++i) {
    const double at = 0.001 * i;
    EXPECT_GE(curve.value(at), loss(at) - 1e-12) << at;
    EXPECT_LE(curve.value(at), loss(at) + 0.02 * 4.0 / 27.0 * 8.0 + 1e-12) << at;
  }
  for (int i = 100; i <= 400; ++i) EXPECT_NEAR(curve.value(0.001 * i), loss(0.001 * i), 1e-11) << i;
}

TEST(Curve, AddsNoPointWhereRestIsGiven) {
  const Curve curve({0.0, 0.2, 0.4}, {0.0, 10.0, 30.0}, 1, true);
  EXPECT_EQ(curve.x().size(), 3u);
  EXPECT_EQ(curve.first_measured(), 0.2);
  EXPECT_EQ(curve.abscissa(), 1u);
}

/// Random data that rises (sense 1) or falls, with steps over three decades.
Curve random_curve(std::mt19937_64& random, double sense) {
  std::uniform_real_distribution<double> exponent(-2.0, 1.0);
  const auto step = [&] { return std::pow(10.0, exponent(random)); };
  std::vector<double> x{step()};
  std::vector<double> y{100.0 + step()};
  for (int i = 0; i < 11; ++i) {
    x.push_back(x.back() + step());
    y.push_back(y.back() + sense * step());
  }
  return Curve(x, y, 0, false);
}

// Between any two neighbors of monotone data the curve runs monotone and stays between them.
TEST(Curve, RisesAndFallsOnlyWhereThePointsDo) {
  std::mt19937_64 random(20240611);
  for (int trial = 0; trial < 200; ++trial) {
    const double sense = trial % 2 == 0 ? 1.0 : -1.0;
    const Curve curve = random_curve(random, sense);
    for (std::size_t i = 1; i < curve.x().size(); ++i) {
      double before = curve.y()[i - 1];
      for (int part = 1; part <= 200; ++part) {
        const double at = curve.x()[i - 1] + (curve.x()[i] - curve.x()[i - 1]) * part / 200.0;
        const double now = curve.value(at);
        ASSERT_GE(sense * (now - before), -1e-12 * std::abs(now)) << "trial " << trial << " at " << at;
        before = now;
      }
      EXPECT_NEAR(before, curve.y()[i], 1e-12 * std::abs(before));
    }
  }
}

// Data with tops and dips: no overshoot beyond the two neighbors.
TEST(Curve, DoesNotOvershoot) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> width(0.05, 2.0);
  std::uniform_real_distribution<double> height(-50.0, 50.0);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<double> x{0.0};
    std::vector<double> y{height(random)};
    for (int i = 0; i < 9; ++i) {
      x.push_back(x.back() + width(random));
      y.push_back(height(random));
    }
    const Curve curve(x, y, 0, false);
    for (std::size_t i = 1; i < x.size(); ++i) {
      const auto [low, high] = std::minmax(y[i - 1], y[i]);
      for (int part = 0; part <= 100; ++part) {
        const double now = curve.value(x[i - 1] + (x[i] - x[i - 1]) * part / 100.0);
        EXPECT_GE(now, low - 1e-11);
        EXPECT_LE(now, high + 1e-11);
      }
    }
  }
}

// Central difference over 2e-6: the third derivative leaves 1e-6 of the steepest cubic here, rounding 1e-8.
TEST(Curve, SlopeIsThatOfItsValues) {
  const Curve curve({0.0, 0.1, 0.3, 0.7, 1.2}, {200.0, 215.0, 190.0, 90.0, -20.0}, 0, false);
  constexpr double step = 1e-6;
  for (int i = -20; i <= 140; ++i) {
    const double at = 0.01 * i + 0.0037;
    const double difference = (curve.value(at + step) - curve.value(at - step)) / (2.0 * step);
    EXPECT_NEAR(curve.slope(at), difference, 1e-6 * std::abs(difference) + 1e-6) << at;
  }
  // From either side of a point the slope is one and the same.
  for (const double knot : {0.0, 0.1, 0.3, 0.7, 1.2}) {
    EXPECT_NEAR(curve.slope(knot - 1e-12), curve.slope(knot + 1e-12), 1e-6) << knot;
    EXPECT_NEAR(curve.value(knot - 1e-12), curve.value(knot + 1e-12), 1e-8) << knot;
  }
}

TEST(Curve, GoesOnStraightBeyondItsEnds) {
  const auto parabola = [](double x) { return 3.0 + 2.0 * x + 5.0 * x * x; };
  const std::vector<double> x{1.0, 2.0, 4.0};
  const Curve curve(x, ordinates(parabola, x), 0, false);
  // The parabola's own tangents, 2 + 10 x.
  for (const double away : {0.001, 1.0, 50.0}) {
    expect_relative(curve.value(4.0 + away), parabola(4.0) + 42.0 * away, 1e-12);
    expect_relative(curve.value(1.0 - away), parabola(1.0) - 12.0 * away, 1e-12);
    expect_relative(curve.slope(4.0 + away), 42.0, 1e-12);
    expect_relative(curve.slope(1.0 - away), 12.0, 1e-12);
  }
}

TEST(Curve, OfTwoPointsIsALine) {
  const Curve curve({1.0, 3.0}, {10.0, 4.0}, 0, false);
  for (const double at : {0.0, 1.0, 1.7, 3.0, 5.0}) EXPECT_NEAR(curve.value(at), 13.0 - 3.0 * at, 1e-12);
}

void expect_span(const Curve::Span& span, double from, double to) {
  EXPECT_EQ(span.from, from);
  EXPECT_EQ(span.to, to);
  EXPECT_EQ(span.empty(), from == to);
}

TEST(Curve, TellsWhereItRisesAndFalls) {
  expect_span(Curve({0, 1, 2, 4}, {9, 7, 6, 1}, 0, false).rising(), 0, 0);
  expect_span(Curve({0, 1, 2, 4}, {9, 7, 6, 1}, 0, false).falling(), 0, 4);
  // A fan with a stall: it falls, climbs between 0.2 and 0.4 and falls again.
  const Curve stalling({0.0, 0.2, 0.3, 0.4, 0.8}, {200, 150, 160, 165, 10}, 0, false);
  expect_span(stalling.rising(), 0.2, 0.4);
  expect_span(stalling.falling(), 0.4, 0.8);
  // The longer of two climbs; a level stretch is none.
  expect_span(Curve({0, 1, 2, 5, 6}, {0, 1, 0.5, 3, 3}, 0, false).rising(), 2, 5);
  expect_span(Curve({0, 1, 2}, {5, 5, 5}, 0, false).rising(), 0, 0);
  expect_span(Curve({0, 1, 2}, {5, 5, 5}, 0, false).falling(), 0, 0);
}

}  // namespace
}  // namespace corefeed::losses
