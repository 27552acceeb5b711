// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/speed_curves.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

model::Model two_points() {
  nlohmann::ordered_json document = golden_document();
  nlohmann::ordered_json slow = document["points"][0];
  slow["name"] = "slow";
  slow["speed"] = "60 km/h";
  document["points"].push_back(slow);
  return read_text(document.dump());
}

TEST(SpeedCurves, SpeedsReachBeyondThePointsAndHoldEachOfThem) {
  const model::Model model = two_points();
  const std::vector<double> speeds = speeds_around(model, 9);
  EXPECT_TRUE(std::is_sorted(speeds.begin(), speeds.end()));
  EXPECT_LT(speeds.front(), model.points[1].speed);
  EXPECT_GT(speeds.back(), model.points[0].speed);
  for (const model::Point& point : model.points)
    EXPECT_EQ(std::count(speeds.begin(), speeds.end(), point.speed), 1) << point.name;
}

/// The same equations at the same numbers: the curve passes through the study's own result.
TEST(SpeedCurves, PassThroughTheirPoint) {
  const model::Model model = two_points();
  const Study study = run_study(model).value();
  const std::vector<SpeedCurves> curves = speed_curves(model, speeds_around(model, 4));
  ASSERT_EQ(curves.size(), 2u);
  for (std::size_t p = 0; p < curves.size(); ++p) {
    const auto place = std::find(curves[p].speeds.begin(), curves[p].speeds.end(), curves[p].speed) -
                       curves[p].speeds.begin();
    ASSERT_FALSE(curves[p].curves.empty());
    for (const SpeedCurve& curve : curves[p].curves) {
      const double value = study.points[p].solution.value(curve.quantity).value();
      EXPECT_EQ(curve.values[static_cast<std::size_t>(place)], value) << curve.quantity;
      EXPECT_NE(curve.kind, units::Quantity::number) << curve.quantity;
    }
  }
}

TEST(SpeedCurves, MoreSpeedFeedsTheCoreMore) {
  const model::Model model = two_points();
  StudyOptions options;
  options.points = {"slow"};
  const std::vector<SpeedCurves> curves = speed_curves(model, speeds_around(model, 6), options);
  ASSERT_EQ(curves.size(), 1u);
  const auto flow = std::find_if(curves[0].curves.begin(), curves[0].curves.end(),
                                 [](const SpeedCurve& one) { return one.quantity == "radiator.flow"; });
  ASSERT_NE(flow, curves[0].curves.end());
  EXPECT_TRUE(std::is_sorted(flow->values.begin(), flow->values.end()));
}

/// Standing still, no air carries the heat away.
TEST(SpeedCurves, HaveNoValueWhereThereIsNoSolution) {
  const model::Model model = two_points();
  const std::vector<SpeedCurves> curves = speed_curves(model, {0.0, 40.0});
  for (const SpeedCurve& curve : curves.front().curves) {
    EXPECT_TRUE(std::isnan(curve.values[0])) << curve.quantity;
    EXPECT_TRUE(std::isfinite(curve.values[1])) << curve.quantity;
  }
}

}  // namespace
}  // namespace corefeed::studies
