// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/effectiveness.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace corefeed::cooling {
namespace {

constexpr Arrangement all[] = {Arrangement::crossflow_both_unmixed, Arrangement::crossflow_air_mixed,
                               Arrangement::crossflow_liquid_mixed, Arrangement::counterflow,
                               Arrangement::parallel_flow};

double of(Arrangement how, double ntu, double ratio, bool air_is_smallest = true) {
  return effectiveness<double>(how, ntu, ratio, air_is_smallest);
}

Dual seeded(double value, Eigen::Index place) {
  Dual number(value);
  number.derivatives().setZero();
  number.derivatives()[place] = 1.0;
  return number;
}

/// Crossflow without any series: both streams march over a grid of cells of the plate, each cell balanced
/// with the means of its own two ends (second order).
double marched(double ntu, double ratio, int cells) {
  const double cold_step = ntu / cells;
  const double hot_step = ratio * ntu / cells;
  std::vector<double> cold(static_cast<std::size_t>(cells), 0.0);
  double hot_sum = 0.0;
  for (int row = 0; row < cells; ++row) {
    double hot = 1.0;
    for (double& air : cold) {
      // q = dN (mean hot - mean cold), both ends of the cell moved by their share of q.
      const double q = (hot - air) / (1.0 + 0.5 * cold_step + 0.5 * hot_step);
      air += cold_step * q;
      hot -= hot_step * q;
    }
    hot_sum += hot;
  }
  double cold_sum = 0.0;
  for (const double air : cold) cold_sum += air;
  // Both balances give the same heat; the marched hot side checks the marched cold side.
  EXPECT_NEAR(cold_sum / cells * ratio, 1.0 - hot_sum / cells, 1e-12);
  return cold_sum / cells;
}

TEST(Effectiveness, CrossflowSeriesAgreesWithAMarch) {
  for (const double ntu : {0.3, 1.0, 2.0, 4.0}) {
    for (const double ratio : {0.05, 0.25, 0.5, 0.8, 1.0}) {
      const double coarse = marched(ntu, ratio, 100);
      const double fine = marched(ntu, ratio, 200);
      // The march errs with the square of the cell: a third of the last change is what is left.
      const double limit = fine + (fine - coarse) / 3.0;
      EXPECT_NEAR(of(Arrangement::crossflow_both_unmixed, ntu, ratio), limit, 1e-7) << ntu << ' ' << ratio;
    }
  }
}

TEST(Effectiveness, FewTransferUnitsAreTheEffectivenessThemselves) {
  for (const Arrangement how : all) {
    for (const double ratio : {0.01, 0.5, 1.0}) {
      // eps = N - (1 + C) N^2 / 2 + ...: the second term is 1e-8 at most.
      EXPECT_NEAR(of(how, 1e-4, ratio), 1e-4, 1.1e-8) << static_cast<int>(how);
      EXPECT_EQ(of(how, 0.0, ratio), 0.0) << static_cast<int>(how);
    }
  }
}

TEST(Effectiveness, SlopeAtNoNtuIsOne) {
  for (const Arrangement how : all) {
    const Dual value = effectiveness<Dual>(how, seeded(0.0, 0), seeded(0.5, 1), true);
    EXPECT_NEAR(value.derivatives()[0], 1.0, 1e-12) << static_cast<int>(how);
    EXPECT_NEAR(value.derivatives()[1], 0.0, 1e-12) << static_cast<int>(how);
  }
}

TEST(Effectiveness, EveryArrangementIsTheSameAgainstAnEndlessStream) {
  for (const Arrangement how : all) {
    for (const bool air_is_smallest : {true, false}) {
      for (const double ntu : {0.2, 1.0, 3.0}) {
        // The capacity ratio is held at 1e-9 where the relation would be 0/0.
        EXPECT_NEAR(of(how, ntu, 0.0, air_is_smallest), 1.0 - std::exp(-ntu), 1e-7) << static_cast<int>(how);
      }
    }
  }
}

TEST(Effectiveness, HugeNtuReachesTheLimitOfTheArrangement) {
  for (const double ntu : {100.0, 300.0, 1e4}) {
    EXPECT_NEAR(of(Arrangement::parallel_flow, ntu, 0.4), 1.0 / 1.4, 1e-9);
    EXPECT_NEAR(of(Arrangement::parallel_flow, ntu, 1.0), 0.5, 1e-9);
    EXPECT_NEAR(of(Arrangement::counterflow, ntu, 0.4), 1.0, 1e-9);
    EXPECT_NEAR(of(Arrangement::crossflow_both_unmixed, ntu, 0.4), 1.0, 1e-6);
    // Largest mixed: (1 - e^-C) / C; smallest mixed: 1 - e^(-1/C).
    EXPECT_NEAR(of(Arrangement::crossflow_air_mixed, ntu, 0.4, false), (1.0 - std::exp(-0.4)) / 0.4, 1e-9);
    EXPECT_NEAR(of(Arrangement::crossflow_air_mixed, ntu, 0.4, true), 1.0 - std::exp(-2.5), 1e-9);
  }
}

TEST(Effectiveness, EqualCapacitiesInCounterflowFollowTheirOwnLimit) {
  for (const double ntu : {0.1, 1.0, 5.0, 20.0}) {
    EXPECT_NEAR(of(Arrangement::counterflow, ntu, 1.0), ntu / (1.0 + ntu), 1e-6) << ntu;
  }
}

TEST(Effectiveness, CounterflowIsBestAndParallelFlowWorst) {
  for (const double ntu : {0.5, 1.5, 4.0}) {
    for (const double ratio : {0.2, 0.6, 1.0}) {
      const double counter = of(Arrangement::counterflow, ntu, ratio);
      const double unmixed = of(Arrangement::crossflow_both_unmixed, ntu, ratio);
      const double parallel = of(Arrangement::parallel_flow, ntu, ratio);
      EXPECT_GT(counter, unmixed);
      for (const bool air_is_smallest : {true, false}) {
        const double mixed = of(Arrangement::crossflow_air_mixed, ntu, ratio, air_is_smallest);
        EXPECT_GT(unmixed, mixed);
        EXPECT_GT(mixed, parallel);
      }
    }
  }
}

TEST(Effectiveness, MixingIsNamedByTheFluidNotByItsSize) {
  const double air_mixed = of(Arrangement::crossflow_air_mixed, 1.0, 0.5, true);
  EXPECT_EQ(of(Arrangement::crossflow_liquid_mixed, 1.0, 0.5, false), air_mixed);
  EXPECT_NE(of(Arrangement::crossflow_air_mixed, 1.0, 0.5, false), air_mixed);
}

TEST(Effectiveness, RisesWithNtuAndFallsWithTheCapacityRatio) {
  for (const Arrangement how : all) {
    double before = 0.0;
    for (double ntu = 0.1; ntu < 30.0; ntu *= 1.5) {
      const double now = of(how, ntu, 0.5);
      EXPECT_GE(now, before) << static_cast<int>(how) << ' ' << ntu;
      before = now;
    }
    double above = 1.0;
    for (double ratio = 0.05; ratio <= 1.0; ratio += 0.05) {
      const double now = of(how, 2.0, ratio);
      EXPECT_LT(now, above) << static_cast<int>(how) << ' ' << ratio;
      above = now;
    }
  }
}

TEST(Effectiveness, DerivativesMatchDifferences) {
  constexpr double step = 1e-5;
  for (const Arrangement how : all) {
    for (const double ntu : {0.4, 2.0, 7.0}) {
      for (const double ratio : {0.1, 0.5, 0.9}) {
        const Dual value = effectiveness<Dual>(how, seeded(ntu, 0), seeded(ratio, 1), true);
        EXPECT_EQ(value.value(), of(how, ntu, ratio));
        const double by_ntu = (of(how, ntu + step, ratio) - of(how, ntu - step, ratio)) / (2.0 * step);
        const double by_ratio = (of(how, ntu, ratio + step) - of(how, ntu, ratio - step)) / (2.0 * step);
        // Differences of numbers near 1 over 2e-5: 1e-16 / 2e-5 of rounding and the square of the step.
        EXPECT_NEAR(value.derivatives()[0], by_ntu, 1e-8)
            << static_cast<int>(how) << ' ' << ntu << ' ' << ratio;
        EXPECT_NEAR(value.derivatives()[1], by_ratio, 1e-8)
            << static_cast<int>(how) << ' ' << ntu << ' ' << ratio;
      }
    }
  }
}

TEST(Effectiveness, StaysBetweenNothingAndAll) {
  for (const Arrangement how : all) {
    for (double ntu = 1e-6; ntu < 1e6; ntu *= 10.0) {
      for (const double ratio : {0.0, 1e-12, 0.3, 1.0}) {
        const double value = of(how, ntu, ratio);
        EXPECT_GE(value, 0.0);
        EXPECT_LE(value, 1.0 + 1e-12);
      }
    }
  }
}

}  // namespace
}  // namespace corefeed::cooling
