// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include "corefeed/cooling/effectiveness.hpp"
#include "tests/published/published.hpp"

/// Effectiveness of heat exchangers as textbooks give it.
namespace corefeed::cooling {
namespace {

using published::absolute;
using published::Published;
using published::relative;

struct Row {
  const char* id;
  double ntu;
  double ratio;
  double exact;
  double table;  ///< to three digits; 0 where the table has none
};

// Both fluids unmixed: the exact series, Mason 1955, Proc. 2nd US Natl. Congr. Appl. Mech.; charted and
// tabulated in Kays & London, Compact Heat Exchangers, 3rd ed. 1984, ch. 2, to three digits (from memory).
// The ten digits are the series summed apart from this program and agree with a finite-volume march: 5e-4 is
// the tolerance stated, 1e-9 what our series keeps.
TEST(PublishedHeatExchangers, CrossflowBothUnmixed) {
  constexpr Row rows[] = {{"S-HX-01", 0.5, 0.25, 0.3750944293, 0},  {"S-HX-02", 1, 0.25, 0.5880113264, 0.588},
                          {"S-HX-03", 1, 0.5, 0.5474898339, 0.547}, {"S-HX-04", 1, 0.75, 0.5103086473, 0.510},
                          {"S-HX-05", 1, 1, 0.4762223882, 0.476},   {"S-HX-06", 2, 0.5, 0.7324092525, 0.732},
                          {"S-HX-07", 2, 1, 0.6142472393, 0.614},   {"S-HX-08", 3, 1, 0.6812911081, 0.681},
                          {"S-HX-09", 5, 1, 0.7509039815, 0.751},   {"S-HX-10", 0.8, 0.9, 0.438266816, 0}};
  for (const Row& row : rows) {
    const double found = effectiveness<double>(Arrangement::crossflow_both_unmixed, row.ntu, row.ratio, true);
    Published(row.id, "Mason 1955; Kays & London, Compact Heat Exchangers, 3rd ed., ch. 2; computed",
              fmt::format("crossflow, both fluids unmixed, NTU {:g}, C ratio {:g}", row.ntu, row.ratio))
        .met("effectiveness", found, row.exact, absolute(0.0005));
    EXPECT_NEAR(found, row.exact, 1e-9) << row.id;
    if (row.table != 0.0) {
      EXPECT_NEAR(found, row.table, 5.5e-4) << row.id;
    }
  }
}

// Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, 6th ed. 2006, table 11.3; the
// same relations in Kays & London, ch. 2; computed.
TEST(PublishedHeatExchangers, ClosedRelations) {
  struct Relation {
    const char* id;
    const char* what;
    Arrangement how;
    double ntu, ratio, expected;
  };
  // The relation of counterflow is held a hair below equal capacities, where it would be 0/0.
  for (const Relation& row :
       {Relation{"S-HX-11", "counterflow", Arrangement::counterflow, 1.0, 0.5, 0.5647334016},
        Relation{"S-HX-12", "counterflow", Arrangement::counterflow, 2.0, 1.0, 0.6666666667},
        Relation{"S-HX-13", "parallel flow", Arrangement::parallel_flow, 1.0, 0.5, 0.5179132266},
        Relation{"S-HX-14", "crossflow, larger mixed", Arrangement::crossflow_liquid_mixed, 1.0, 0.5,
                 0.5419689916},
        Relation{"S-HX-15", "crossflow, smaller mixed", Arrangement::crossflow_air_mixed, 1.0, 0.5,
                 0.544763712}}) {
    Published(row.id,
              "Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., Table 11.3; computed",
              fmt::format("{}, NTU {:g}, C ratio {:g}", row.what, row.ntu, row.ratio))
        .met("effectiveness", effectiveness<double>(row.how, row.ntu, row.ratio, true), row.expected,
             relative(1e-6));
  }
}

}  // namespace
}  // namespace corefeed::cooling
