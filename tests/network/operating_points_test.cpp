// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/operating_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "corefeed/cooling/solution.hpp"
#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::stiff_air;

/// A fan whose curve dips between two tops blows through a screen against a pressure.
cooling::Case stalling(double against, double loss) {
  Builder builder(stiff_air(1.2, 0.0));
  builder.fixed("before", 0.0).fixed("behind", against);
  builder.add("fan", "fan", "before", "box", {{"area", 0.05}, {"curve.density", 1.2}});
  builder.add("screen", "loss", "box", "behind", {{"area", 0.05}, {"loss", loss}});
  Network network = builder.network();
  Element& fan = network.elements.front();
  const std::size_t points = losses::find_key(*fan.kind, "curve.points");
  fan.curves.resize(fan.kind->keys.size());
  fan.curves[points] = std::make_shared<const losses::Curve>(
      std::vector<double>{0.0, 0.25, 0.5, 1.0}, std::vector<double>{200.0, 100.0, 180.0, 0.0}, 0, false);
  fan.given |= std::uint64_t{1} << points;
  cooling::Case problem;
  problem.loop_of.assign(network.elements.size(), none);
  problem.network = std::move(network);
  return problem;
}

TEST(OperatingPoints, StallDipGivesThreeOfWhichTheMiddleDoesNotStay) {
  const cooling::Solution solution = cooling::solve(stalling(140.0, 0.1));
  ASSERT_TRUE(solution.converged) << solution.explanation;
  ASSERT_EQ(solution.further.size(), 2U) << solution.explanation;
  std::vector<std::pair<double, bool>> states{{solution.elements[0].flow / 1.2, solution.stable}};
  for (const cooling::Solution& one : solution.further) {
    EXPECT_TRUE(one.certificate.met()) << one.certificate.words();
    states.emplace_back(one.elements[0].flow / 1.2, one.stable);
  }
  std::sort(states.begin(), states.end());
  EXPECT_TRUE(states[0].second && states[0].first > 0.0 && states[0].first < 0.25);
  EXPECT_TRUE(!states[1].second && states[1].first > 0.25 && states[1].first < 0.5);
  EXPECT_TRUE(states[2].second && states[2].first > 0.5 && states[2].first < 1.0);
  EXPECT_FALSE(solution.is_unique());
  EXPECT_NE(solution.explanation.find("3 operating points found, 2 of them stable"), std::string::npos)
      << solution.explanation;
}

TEST(OperatingPoints, AgainstMoreThanItsSecondTopTheFanHasOne) {
  const cooling::Solution solution = cooling::solve(stalling(190.0, 0.1));
  ASSERT_TRUE(solution.converged) << solution.explanation;
  EXPECT_TRUE(solution.further.empty()) << solution.explanation;
  EXPECT_TRUE(solution.is_unique());
}

TEST(OperatingPoints, SteepLoadHoldsTheFanOnItsRisingPart) {
  // A screen that loses 12 Pa more for each of the 0.32 Pa/(L/s) that the curve rises.
  const cooling::Solution solution = cooling::solve(stalling(0.0, 4.0));
  ASSERT_TRUE(solution.converged) << solution.explanation;
  EXPECT_TRUE(solution.stable);
  EXPECT_TRUE(solution.is_unique());
}

TEST(OperatingPoints, NoSearchWhereNothingCanFall) {
  Builder builder(stiff_air(1.2, 0.0));
  builder.fixed("before", 100.0).fixed("behind", 0.0);
  builder.add("hole", "loss", "before", "behind", {{"area", 0.01}, {"loss", 1.0}});
  EXPECT_FALSE(may_have_several(builder.network()));
  EXPECT_TRUE(may_have_several(stalling(140.0, 0.1).network));
}

}  // namespace
}  // namespace corefeed::network
