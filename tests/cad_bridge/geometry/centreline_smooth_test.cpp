// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline_smooth.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace corefeed::geometry {
namespace {

constexpr double spacing = 10;  // mm

std::vector<double> constant(std::size_t count, double value) { return std::vector<double>(count, value); }

/// Points of an arc of radius 300 mm, with a wave of `amplitude` that changes sign from point to point.
std::vector<Vec3> arc(std::size_t count, double amplitude) {
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < count; ++i) {
    const double angle = static_cast<double>(i) * spacing / 300;
    const bool inner = i > 0 && i + 1 < count;
    const double wave = inner ? (i % 2 == 0 ? amplitude : -amplitude) : 0.0;
    points.emplace_back(300 * std::sin(angle), wave, 300 * (1 - std::cos(angle)));
  }
  return points;
}

double farthest(const std::vector<Vec3>& a, const std::vector<Vec3>& b) {
  double result = 0;
  for (std::size_t i = 0; i < a.size(); ++i) result = std::max(result, (a[i] - b[i]).norm());
  return result;
}

TEST(SmoothPoints, KeepsAnArcAndTakesShortWavesAway) {
  const std::vector<Vec3> clean = arc(21, 0);
  // An arc of 20 spacings of 1/30 rad is a parabola but for its fourth differences, (1/30)^4 * 300 mm each.
  EXPECT_LT(farthest(smooth_points(clean, constant(21, 20)), clean), 0.05);
  EXPECT_LT(farthest(smooth_points(arc(21, 1), constant(21, 20)), clean), 0.15);
}

TEST(SmoothPoints, NothingMovesWhereTheLengthIsZero) {
  const std::vector<Vec3> rough = arc(21, 1);
  std::vector<double> lengths = constant(21, 20);
  for (std::size_t i = 0; i <= 10; ++i) lengths[i] = 0;
  const std::vector<Vec3> smooth = smooth_points(rough, lengths);
  for (std::size_t i = 0; i <= 10; ++i) EXPECT_LT((smooth[i] - rough[i]).norm(), 1e-9) << i;
  EXPECT_LT(std::abs(smooth[15].y()), 0.3);
  EXPECT_LT((smooth[20] - rough[20]).norm(), 1e-6);
}

TEST(SmoothPoints, FewPointsStay) {
  const std::vector<Vec3> few = arc(4, 1);
  EXPECT_EQ(farthest(smooth_points(few, constant(4, 20)), few), 0);
}

Section square(double side) {
  Section section;
  section.area = side * side;
  section.perimeter = 4 * side;
  section.long_side = section.short_side = side;
  return section;
}

TEST(EchoLengths, ComeFromTheWallsSlopeAndNotFromSteps) {
  // Straight, diverging by 0.2 on every side, straight, then a step.
  const std::vector<Section> sections{square(100), square(100), square(104), square(108), square(112),
                                      square(112), square(112), square(160), square(160)};
  std::vector<double> distances;
  for (std::size_t i = 0; i < sections.size(); ++i) distances.push_back(static_cast<double>(i) * spacing);
  const std::vector<double> lengths = echo_lengths(sections, distances);
  // slope * perimeter * (side / 2)^2 / area = slope * side
  EXPECT_NEAR(lengths[2], 0.2 * 104, 1e-9);
  EXPECT_NEAR(lengths[3], 0.2 * 108, 1e-9);
  for (const std::size_t level : {0U, 1U, 4U, 5U, 6U, 7U, 8U}) EXPECT_EQ(lengths[level], 0) << level;
}

}  // namespace
}  // namespace corefeed::geometry
