// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/heat_table.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/cooling/lap_problem.hpp"

namespace corefeed::cooling {
namespace {

using namespace testing;

std::vector<double> asked(HeatLookup& lookup, const HeatState& state) {
  std::vector<double> heat(state.temperature.size());
  lookup.heat(state.setting, state.speed, state.yaw, state.temperature, state.share, heat);
  return heat;
}

TEST(HeatTable, QuadraticOfThreeLoopsIsExact) {
  const auto heat = [](const HeatState& state) {
    const double a = state.temperature[0] - outside;
    const double b = state.temperature[1] - outside;
    const double c = state.temperature[2] - outside;
    return std::vector{900.0 * a - 0.4 * a * a, 100.0 * b - 30.0 * a - 0.1 * a * b,
                       50.0 * c - 5.0 * b + 0.02 * b * c - 0.03 * a * c};
  };
  const HeatTable table = table_of(heat, range_of(3));
  HeatLookup lookup(table);
  const HeatState state{0, 17.0, 0.0, {381.0, 410.0, 335.0}, {1.0, 1.0, 1.0}};
  const std::vector<double> found = asked(lookup, state);
  const std::vector<double> expected = heat(state);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(found[i], expected[i], 1e-9 * std::abs(expected[0]));
}

TEST(HeatTable, SpeedsAreSetCloserWhereTheHeatBends) {
  // Heat that grows as the power 0.6 of the speed has no slope at rest and a step as a fan's air turns round.
  const auto heat = [](const HeatState& state) {
    const double air = std::pow(state.speed, 0.6) + 3.0 * std::tanh(state.speed - 20.0);
    return std::vector{(500.0 + 100.0 * air) * (state.temperature[0] - outside)};
  };
  const HeatTable table = table_of(heat, range_of(1));
  HeatLookup lookup(table);
  double largest = 0.0;
  for (double speed = 1.0; speed < 60.0; speed += 0.37) {
    const HeatState state{0, speed, 0.0, {390.0}, {1.0}};
    const double expected = heat(state)[0];
    largest = std::max(largest, std::abs(asked(lookup, state)[0] / expected - 1.0));
  }
  EXPECT_LT(largest, 0.01);
  EXPECT_LT(table.speeds(0).size(), 50U);
  const auto near = std::lower_bound(table.speeds(0).begin(), table.speeds(0).end(), 20.0);
  EXPECT_LT(*near - *(near - 1), 3.0);
}

TEST(HeatTable, YawIsMetBetweenItsPoints) {
  const auto heat = [](const HeatState& state) {
    const double facing = std::cos(state.yaw);
    return std::vector{1000.0 * facing * facing * (state.temperature[0] - outside)};
  };
  HeatRange range = range_of(1);
  range.least_yaw = -0.1;
  range.most_yaw = 0.35;
  const HeatTable table = table_of(heat, range);
  HeatLookup lookup(table);
  for (double yaw = -0.1; yaw <= 0.35; yaw += 0.03) {
    const HeatState state{0, 30.0, yaw, {400.0}, {1.0}};
    EXPECT_NEAR(asked(lookup, state)[0], heat(state)[0], 2e-4 * heat(state)[0]) << yaw;
  }
}

/// Two cores behind each other. Each has the conductance of its own share of the liquid; the rear one gets
/// the front one's air.
std::vector<double> stacked(const HeatState& state) {
  const auto core = [](double air, double liquid, double share) {
    return 1.0 / (1.0 / air + 1.0 / (liquid * std::pow(share, 0.8)) + 1.0 / (7000.0 * share));
  };
  const double front = core(900.0, 3000.0, state.share[0]) * (state.temperature[0] - outside);
  const double behind = state.temperature[1] - outside - front / 1300.0;
  return {front, core(400.0, 800.0, state.share[1]) * behind};
}

TEST(HeatTable, ThrottledLoopsActAsResistancesInSeries) {
  HeatRange range = range_of(2);
  range.throttled = {true, true};
  const HeatTable table = table_of(stacked, range);
  HeatLookup lookup(table);
  for (const double a : {0.08, 0.25, 0.5, 0.8, 1.0}) {
    for (const double b : {0.1, 0.45, 1.0}) {
      const HeatState state{0, 25.0, 0.0, {385.0, 400.0}, {a, b}};
      const std::vector<double> found = asked(lookup, state);
      const std::vector<double> expected = stacked(state);
      for (std::size_t i = 0; i < 2; ++i) EXPECT_NEAR(found[i], expected[i], 2e-3 * 30e3) << a << " " << b;
    }
  }
}

TEST(HeatTable, ClosedLoopGivesNothingAndLeavesTheAirCold) {
  HeatRange range = range_of(2);
  range.throttled = {true, false};
  const HeatTable table = table_of(stacked, range);
  HeatLookup lookup(table);
  const std::vector<double> found = asked(lookup, {0, 25.0, 0.0, {385.0, 400.0}, {0.0, 1.0}});
  EXPECT_NEAR(found[0], 0.0, 1e-3);
  // The rear core sees the outside's air.
  const double alone = (400.0 - outside) / (1.0 / 400.0 + 1.0 / 800.0 + 1.0 / 7000.0);
  EXPECT_NEAR(found[1], alone, 1e-6 * alone);
}

TEST(HeatTable, SaysWhyThereIsNone) {
  const HeatSampler none = [](const HeatState&) {
    Issue issue;
    issue.code = "no_solution";
    return Result<std::vector<double>>(issue);
  };
  const Result<HeatTable> table = HeatTable::prepare(none, range_of(1));
  ASSERT_FALSE(table.ok());
  EXPECT_EQ(table.issues().front().code, "no_solution");
}

}  // namespace
}  // namespace corefeed::cooling
