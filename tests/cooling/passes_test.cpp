// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/passes.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "tests/support/check.hpp"

namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;

double deep(int passes, double ntu, double ratio, PassOrder order = PassOrder::counter) {
  const Layout layout{Arrangement::crossflow_both_unmixed, passes, order};
  return depth_effectiveness<double>(layout, ntu, ratio, true);
}

Dual seeded(double value, Eigen::Index place) {
  Dual number(value);
  number.derivatives().setZero();
  number.derivatives()[place] = 1;
  return number;
}

// The relations worked out apart from this program, NTU 2 and C 0.5.
TEST(DepthPasses, ClimbTowardCounterflow) {
  EXPECT_NEAR(deep(1, 2, 0.5), 0.732, 5e-4);
  EXPECT_NEAR(deep(2, 2, 0.5), 0.759, 5e-4);
  EXPECT_NEAR(deep(3, 2, 0.5), 0.767, 5e-4);
  EXPECT_NEAR(counterflow<double>(2, 0.5), 0.775, 5e-4);
  // The distance from counterflow falls with the square of the pass's NTU; 50 passes leave a 2500th.
  EXPECT_NEAR(deep(50, 2, 0.5), counterflow<double>(2, 0.5), 1e-4);
  EXPECT_NEAR(deep(50, 2, 0.5, PassOrder::parallel), parallel_flow<double>(2, 0.5), 2e-3);
}

// Two stages with temperatures: each pass's heat from its own inlets, the circle solved by repetition.
TEST(DepthPasses, AgreeWithTwoStagesSolvedByTemperature) {
  for (const double ratio : {0.3, 0.7, 1.0}) {
    for (const double e : {0.2, 0.5, 0.8}) {
      // Air is the smaller stream, capacity 1, from 0; the liquid enters at 1 behind.
      double liquid_between = 0.8;
      double air_between = 0;
      double heat = 0;
      for (int step = 0; step < 500; ++step) {
        const double front = e * (liquid_between - 0);
        air_between = front;
        const double back = e * (1 - air_between);
        liquid_between = 1 - ratio * back;
        heat = front + back;
      }
      EXPECT_NEAR(passes_counterflow<double>(e, ratio, 2), heat, 1e-12) << e << ' ' << ratio;
      const double first = e;
      const double second = e * (1 - ratio * first - first);
      EXPECT_NEAR(passes_parallel<double>(e, ratio, 2), first + second, 1e-12) << e << ' ' << ratio;
    }
  }
}

TEST(DepthPasses, EqualCapacitiesAreNoGap) {
  for (const int passes : {2, 3, 5}) {
    const double n = passes;
    EXPECT_NEAR(passes_counterflow<double>(0.4, 1.0, passes), n * 0.4 / (1 + (n - 1) * 0.4), 1e-14);
    EXPECT_NEAR(passes_counterflow<double>(0.4, 1.0 - 1e-9, passes),
                passes_counterflow<double>(0.4, 1.0, passes), 1e-8);
  }
}

TEST(DepthPasses, OnePassIsThePassAndAPerfectPassIsPerfect) {
  EXPECT_NEAR(passes_counterflow<double>(0.37, 0.6, 1), 0.37, 1e-15);
  EXPECT_NEAR(passes_parallel<double>(0.37, 0.6, 1), 0.37, 1e-15);
  EXPECT_EQ(deep(1, 1.3, 0.6), effectiveness<double>(Arrangement::crossflow_both_unmixed, 1.3, 0.6, true));
  EXPECT_NEAR(passes_counterflow<double>(1.0, 0.5, 3), 1.0, 1e-9);
}

// Against a stream that does not change, splitting a core into passes changes nothing.
TEST(DepthPasses, DoNotMatterAgainstAnEndlessStream) {
  for (const int passes : {1, 2, 4}) {
    EXPECT_NEAR(deep(passes, 1.5, 0.0), 1 - std::exp(-1.5), 1e-7);
    EXPECT_NEAR(deep(passes, 1.5, 0.0, PassOrder::parallel), 1 - std::exp(-1.5), 1e-7);
  }
}

TEST(DepthPasses, DerivativesMatchDifferences) {
  constexpr double step = 1e-5;
  for (const PassOrder order : {PassOrder::counter, PassOrder::parallel}) {
    const Layout layout{Arrangement::crossflow_both_unmixed, 3, order};
    for (const double ratio : {0.3, 0.999}) {
      const Dual value = depth_effectiveness<Dual>(layout, seeded(1.4, 0), seeded(ratio, 1), true);
      EXPECT_NEAR(value.derivatives()[0],
                  (deep(3, 1.4 + step, ratio, order) - deep(3, 1.4 - step, ratio, order)) / (2 * step), 1e-8);
      EXPECT_NEAR(value.derivatives()[1],
                  (deep(3, 1.4, ratio + step, order) - deep(3, 1.4, ratio - step, order)) / (2 * step), 1e-8);
    }
  }
}

TEST(ShellAndTube, LiesBetweenParallelAndCounterflow) {
  for (const double ntu : {0.5, 1.5, 4.0}) {
    for (const double ratio : {0.1, 0.6, 1.0}) {
      EXPECT_GT(shell_and_tube<double>(ntu, ratio), parallel_flow<double>(ntu, ratio));
      EXPECT_LT(shell_and_tube<double>(ntu, ratio), counterflow<double>(ntu, ratio));
    }
    EXPECT_NEAR(shell_and_tube<double>(ntu, 0.0), 1 - std::exp(-ntu), 1e-12);
  }
  EXPECT_EQ(shell_and_tube<double>(0.0, 0.5), 0.0);
}

FaceMarch<double> faced(const std::vector<double>& air, const std::vector<double>& conductance,
                        double liquid_capacity) {
  const auto zones = face_zones<double>(400, 300, air, conductance);
  return face_passes<double>(Arrangement::crossflow_both_unmixed, zones, liquid_capacity, 370, 300);
}

TEST(FacePasses, OneZoneIsOneCore) {
  const FaceMarch<double> march = faced({1}, {1}, 500);
  const double share = crossflow_both_unmixed<double>(300.0 / 400, 0.8);
  EXPECT_NEAR(march.heat, share * 400 * 70, 1e-9);
  EXPECT_NEAR(march.liquid_out, 370 - march.heat / 500, 1e-12);
  EXPECT_NEAR(march.air_out, 300 + march.heat / 400, 1e-12);
}

TEST(FacePasses, BalanceHeatZoneByZone) {
  const FaceMarch<double> march = faced({0.2, 0.5, 0.3}, {0.3, 0.4, 0.3}, 250);
  ASSERT_EQ(march.heats.size(), 3U);
  EXPECT_NEAR(std::accumulate(march.heats.begin(), march.heats.end(), 0.0), march.heat, 1e-9);
  EXPECT_NEAR(250 * (370 - march.liquid_out), march.heat, 1e-9);
  // The second zone's own effectiveness, its inlet read off the first zone's heat.
  const double inlet = 370 - march.heats[0] / 250;
  const double share = crossflow_both_unmixed<double>(120.0 / 200, 200.0 / 250);
  EXPECT_NEAR(march.heats[1], share * 200 * (inlet - 300), 1e-9);
}

// Endlessly many zones turn the liquid's march into one stream against fresh air everywhere:
// T' = -(C_a (1 - e^-N)/C_l) T.
TEST(FacePasses, ManyZonesApproachTheMarchOfOneMixedLiquid) {
  const std::vector<double> even(400, 1.0 / 400);
  const FaceMarch<double> march = faced(even, even, 500);
  const double limit = 500 * 70 * (1 - std::exp(-400.0 / 500 * (1 - std::exp(-300.0 / 400))));
  expect_relative(march.heat, limit, 1e-3);
}

// The air sees each pass in the face once: no counterflow to gain from.
TEST(FacePasses, GainLessThanPassesInDepth) {
  const double capacity = 450;
  const FaceMarch<double> one = faced({1}, {1}, capacity);
  const FaceMarch<double> two = faced({0.5, 0.5}, {0.5, 0.5}, capacity);
  const double depth = deep(2, 300.0 / 400, 400.0 / capacity) * 400 * 70;
  EXPECT_LT(two.heat, one.heat);  // at equal conductance the mixed liquid even loses a little
  EXPECT_GT(depth, one.heat);
}

// The same core by its effectiveness and by the march of its zones, with the air the smaller and the larger
// stream, and with single zones whose air is smaller where the whole face's is larger.
TEST(FacePasses, HaveOneEffectiveness) {
  for (const double liquid : {250.0, 500.0}) {
    const FaceMarch<double> march = faced({0.25, 0.25, 0.25, 0.25}, {0.25, 0.25, 0.25, 0.25}, liquid);
    const double smallest = std::min(400.0, liquid);
    const Layout layout{Arrangement::crossflow_both_unmixed, 4, PassOrder::counter, PassLayout::face};
    const double share = layout_effectiveness<double>(layout, 300 / smallest,
                                                      smallest / std::max(400.0, liquid), liquid > 400);
    expect_relative(share * smallest * 70, march.heat, 1e-12);
  }
}

void expect_undone(const Layout& layout, double ratio, double ntu, bool air_is_smallest) {
  const double share = layout_effectiveness<double>(layout, ntu, ratio, air_is_smallest);
  // The crossflow relations keep nine digits at a capacity ratio of 0 and the curve is flat there.
  const double allowed = ratio > 0 ? 1e-9 : 2e-6;
  EXPECT_NEAR(ntu_of(layout, share, ratio, air_is_smallest).value(), ntu, allowed)
      << static_cast<int>(layout.arrangement) << ' ' << layout.passes << ' ' << ratio;
}

TEST(NtuOf, UndoesEveryArrangement) {
  for (const Arrangement how :
       {Arrangement::crossflow_both_unmixed, Arrangement::crossflow_air_mixed,
        Arrangement::crossflow_liquid_mixed, Arrangement::counterflow, Arrangement::parallel_flow}) {
    const Layout layouts[] = {{how},
                              {how, 3, PassOrder::counter, PassLayout::depth},
                              {how, 3, PassOrder::counter, PassLayout::face}};
    for (const Layout& layout : layouts) {
      for (const double ratio : {0.0, 0.4, 1.0}) {
        for (const double ntu : {0.01, 0.7, 2.5}) {
          expect_undone(layout, ratio, ntu, true);
          expect_undone(layout, ratio, ntu, false);
        }
      }
    }
  }
}

TEST(NtuOf, SaysWhatTheArrangementReaches) {
  const auto beyond = ntu_of({Arrangement::parallel_flow}, 0.7, 0.5, true);
  ASSERT_FALSE(beyond);
  EXPECT_EQ(beyond.issues()[0].code, "effectiveness_out_of_reach");
  EXPECT_NE(beyond.issues()[0].text.find("0.6667"), std::string::npos) << beyond.issues()[0].text;
  EXPECT_FALSE(ntu_of({}, 1.0, 0.5, true));
  EXPECT_FALSE(ntu_of({}, 0.0, 0.5, true));
  EXPECT_FALSE(ntu_of({}, std::nan(""), 0.5, true));
  // Passes in overall parallel flow are best at a finite NTU, and below it they are undone.
  const Layout together{Arrangement::counterflow, 2, PassOrder::parallel};
  const double share = depth_effectiveness<double>(together, 1.0, 0.8, true);
  EXPECT_NEAR(ntu_of(together, share, 0.8, true).value(), 1.0, 1e-9);
}

}  // namespace
}  // namespace corefeed::cooling
