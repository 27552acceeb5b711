// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "corefeed/cooling/effectiveness.hpp"

/// Effectiveness of heat exchangers as textbooks give it.
namespace corefeed::cooling {
namespace {

struct Row {
  double ntu;
  double ratio;
  double expected;
};

// Both fluids unmixed: the exact series, Mason 1955, Proc. 2nd US Natl. Congr. Appl. Mech.; charted and
// tabulated in Kays & London, Compact Heat Exchangers, 3rd ed. 1984, ch. 2. The ten digits are the series
// summed apart from this program and agree with a finite-volume march.
// S-HX-01..10, in this order.
TEST(PublishedHeatExchangers, CrossflowBothUnmixed) {
  constexpr Row rows[] = {{0.5, 0.25, 0.3750944293}, {1.0, 0.25, 0.5880113264}, {1.0, 0.5, 0.5474898339},
                          {1.0, 0.75, 0.5103086473}, {1.0, 1.0, 0.4762223882},  {2.0, 0.5, 0.7324092525},
                          {2.0, 1.0, 0.6142472393},  {3.0, 1.0, 0.6812911081},  {5.0, 1.0, 0.7509039815},
                          {0.8, 0.9, 0.438266816}};
  for (const Row& row : rows) {
    const double found = effectiveness<double>(Arrangement::crossflow_both_unmixed, row.ntu, row.ratio, true);
    EXPECT_NEAR(found, row.expected, 1e-9) << row.ntu << ' ' << row.ratio;
  }
}

// Kays & London, Compact Heat Exchangers, 3rd ed. 1984, table of crossflow with both fluids unmixed, three
// digits (from memory): the whole table was rounded by its authors.
// S-HX-02..09, in this order, to three digits.
TEST(PublishedHeatExchangers, CrossflowTableOfKaysAndLondon) {
  constexpr Row rows[] = {{1.0, 0.25, 0.588}, {1.0, 0.5, 0.547}, {1.0, 0.75, 0.510}, {1.0, 1.0, 0.476},
                          {2.0, 0.5, 0.732},  {2.0, 1.0, 0.614}, {3.0, 1.0, 0.681},  {5.0, 1.0, 0.751}};
  for (const Row& row : rows) {
    const double found = effectiveness<double>(Arrangement::crossflow_both_unmixed, row.ntu, row.ratio, true);
    EXPECT_NEAR(found, row.expected, 5.5e-4) << row.ntu << ' ' << row.ratio;
  }
}

// Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, 6th ed. 2006, table 11.3; the
// same relations in Kays & London, ch. 2.
// S-HX-11..15, in this order.
TEST(PublishedHeatExchangers, ClosedRelations) {
  const auto of = [](Arrangement how, double ntu, double ratio, bool air_is_smallest) {
    return effectiveness<double>(how, ntu, ratio, air_is_smallest);
  };
  EXPECT_NEAR(of(Arrangement::counterflow, 1.0, 0.5, true), 0.5647334016, 1e-9);
  // The relation is held a hair below equal capacities, where it would be 0/0.
  EXPECT_NEAR(of(Arrangement::counterflow, 2.0, 1.0, true), 0.6666666667, 1e-6 * 0.6666666667);
  EXPECT_NEAR(of(Arrangement::parallel_flow, 1.0, 0.5, true), 0.5179132266, 1e-9);
  EXPECT_NEAR(of(Arrangement::crossflow_liquid_mixed, 1.0, 0.5, true), 0.5419689916, 1e-9);
  EXPECT_NEAR(of(Arrangement::crossflow_air_mixed, 1.0, 0.5, true), 0.544763712, 1e-9);
}

}  // namespace
}  // namespace corefeed::cooling
