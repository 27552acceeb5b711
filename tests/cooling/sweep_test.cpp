// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/sweep.hpp"

#include <gtest/gtest.h>

#include "corefeed/cooling/prepared.hpp"
#include "tests/cooling/case_parts.hpp"

namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using network::testing::dry_air;
using testing::case_of;
using testing::value;

Case air_path() {
  Builder builder(dry_air(40.0));
  builder.plenum("bay");
  builder.add("nose", "inlet", "", "bay", {{"area", 0.05}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("gap", "leak", "bay", "side", {{"area", 0.02}, {"discharge_coefficient", 0.6}});
  builder.add("rear", "vent", "side", "", {{"area", 0.03}, {"cp", -0.1}, {"discharge_coefficient", 0.6}});
  builder.add("outlet", "vent", "bay", "", {{"area", 0.08}, {"cp", -0.3}, {"discharge_coefficient", 0.65}});
  return case_of(builder.network());
}

/// Speed and vent area over a range, 300 points: five blocks, the last not full.
Sweep points_of_speed_and_area() {
  Sweep points{{"speed", "outlet.area"}, {"nose.flow", "rear.flow", "car.cooling_drag"}, {}};
  for (int i = 0; i < 300; ++i) {
    points.values.push_back(10.0 + 0.2 * i);
    points.values.push_back(0.05 + 0.001 * (i % 40));
  }
  return points;
}

TEST(Sweep, SameBitsForAnyNumberOfThreads) {
  const Case problem = air_path();
  const Sweep points = points_of_speed_and_area();
  const auto one = sweep(problem, points, {}, 1);
  ASSERT_TRUE(one.ok());
  for (const int jobs : {2, 3, 7}) {
    const auto many = sweep(problem, points, {}, jobs);
    ASSERT_TRUE(many.ok());
    EXPECT_EQ(many.value().values, one.value().values) << jobs;
    EXPECT_EQ(many.value().converged, one.value().converged) << jobs;
  }
}

TEST(Sweep, EachPointIsTheSolutionOfItsCase) {
  const Sweep points = points_of_speed_and_area();
  const Swept swept = sweep(air_path(), points, {}, 2).value();
  for (const std::size_t point : {0U, 63U, 64U, 150U, 299U}) {
    Case problem = air_path();
    problem.network.outside = dry_air(points.values[2 * point]);
    problem.network.elements[3].numbers[losses::find_key(*losses::find_kind("vent"), "area")] =
        points.values[2 * point + 1];
    const Solution solution = solve(problem);
    ASSERT_TRUE(solution.converged && swept.converged[point] == 1);
    for (std::size_t i = 0; i < points.outputs.size(); ++i) {
      const double expected = value(solution, points.outputs[i]);
      EXPECT_NEAR(swept.values[3 * point + i], expected, 1e-9 * (1.0 + std::abs(expected)))
          << points.outputs[i];
    }
  }
}

/// A stack of a core and a diffuser that reads it, with heat: the points taken together against each on its
/// own.
TEST(Sweep, PointsTogetherAreThoseAlone) {
  const Case problem = testing::small_car();
  Sweep points{{"speed", "outlet.area", "coolant.heat_load"}, {"coolant.temperature", "radiator.flow"}, {}};
  for (int i = 0; i < 200; ++i) {
    points.values.insert(points.values.end(),
                         {15.0 + 0.2 * i, 0.05 + 0.001 * (i % 40), 20e3 + 300.0 * (i % 25)});
  }
  const Swept together = sweep(problem, points, {}, 1).value();
  Prepared alone(problem);
  for (std::size_t point = 0; point < 200; ++point) {
    for (std::size_t i = 0; i < 3; ++i) {
      alone.set(alone.input(points.inputs[i]).value(), points.values[3 * point + i]);
    }
    ASSERT_TRUE(alone.solve().converged && together.converged[point] == 1);
    for (std::size_t i = 0; i < 2; ++i) {
      const double expected = alone.value(alone.output(points.outputs[i]).value());
      EXPECT_NEAR(together.values[2 * point + i], expected, 1e-9 * std::abs(expected)) << point;
    }
  }
}

TEST(Sweep, SaysWhatItDoesNotKnow) {
  const auto result = sweep(air_path(), {{"outlet.color", "speed"}, {"nose.mood"}, {1.0, 2.0, 3.0}}, {}, 1);
  ASSERT_FALSE(result.ok());
  ASSERT_EQ(result.issues().size(), 3U);
  EXPECT_EQ(result.issues()[0].code, "unknown_input");
  EXPECT_EQ(result.issues()[1].code, "unknown_quantity");
  EXPECT_EQ(result.issues()[2].code, "wrong_count");
}

}  // namespace
}  // namespace corefeed::cooling
