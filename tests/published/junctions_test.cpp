// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published losses of tees and wyes, by the junction law, on the velocity of the common port. Source beside
// each value.
namespace corefeed::losses {
namespace {

using published::absolute;
using published::either;
using published::incompressible;
using published::Published;
using testing::degree;
using testing::LawCase;

enum class Way { dividing, combining };

/// A run of one area with a branch; losses of both legs when the branch takes or brings the share `flow`.
struct Tee {
  Way way;
  double branch_area, flow;  ///< over the common port's
  double angle = 90;         ///< degrees

  double branch() const { return coefficient(Leg::branch); }
  double run() const { return coefficient(Leg::straight); }

 private:
  double coefficient(Leg leg) const {
    LawCase law = incompressible("junction", 1.2);
    law.set("areas.common", 0.02).set("areas.straight", 0.02).set("areas.branch", 0.02 * branch_area);
    law.set("angle", angle * degree);
    const double sign = way == Way::dividing ? 1.0 : -1.0;
    // The law blends its ways of flow over 0.5 m/s at each port; fast air keeps it to one of them.
    const double whole = sign * testing::flow_of(law, 0.02, 1e4);
    law.leg = leg;
    law.state.mass_flow = whole * (leg == Leg::branch ? flow : 1.0 - flow);
    law.sibling_flow = whole - law.state.mass_flow;
    // From the common port to the leg; a combining tee loses from the leg to the common port.
    return sign * law.reported("loss_coefficient");
  }
};

// CIBSE Guide C, Table 4.132, extract read in a published article; the form of Idelchik and Crane for a
// narrow branch, 1 + (q/a)^2 - 2 (1 - q)^2.
TEST(PublishedJunctions, ConvergingNarrowBranch) {
  struct Row {
    const char* id;
    double area, flow, loss;
  };
  for (const Row& row :
       {Row{"S-ML-89", 0.2, 0.1, -0.37}, Row{"S-ML-90", 0.2, 0.3, 2.3}, Row{"S-ML-91", 0.2, 1.0, 26.0},
        Row{"S-ML-92", 0.3, 0.2, 0.17}, Row{"S-ML-93", 0.3, 0.4, 2.1}, Row{"S-ML-94", 0.3, 1.0, 12.0},
        Row{"S-ML-95", 0.1, 0.2, 3.8}}) {
    Published(row.id, "CIBSE Guide C, Table 4.132",
              fmt::format("converging tee, A_b/A_c = {:g}, Q_b/Q_c = {:g}", row.area, row.flow))
        .met("K branch", Tee{Way::combining, row.area, row.flow}.branch(), row.loss, either(0.05, 0.11));
  }
}

// Idelchik, Diagram 7-4 (Levin, Taliev), and Crane TP-410 (2009), ch. 2; equations from memory.
TEST(PublishedJunctions, ConvergingTee) {
  const Tee tee{Way::combining, 1.0, 0.25};
  Published("S-ML-105", "Idelchik, Diagram 7-4; Crane TP-410 (2009), ch. 2; memory",
            "converging tee of equal areas, Q_b/Q_c = 0.25")
      .met("K branch", tee.branch(), -0.0421875, absolute(0.005))
      .met("K run", tee.run(), 0.325, absolute(0.005));
}

// Idelchik, Diagram 7-15 and following, and Crane TP-410 (2009), ch. 2; equations from memory.
TEST(PublishedJunctions, DivergingWye) {
  const Tee wye{Way::dividing, 1.0, 5.0 / 13.0, 45};
  Published("S-ML-106", "Idelchik, Diagram 7-15 and following; Crane TP-410 (2009), ch. 2; memory",
            "diverging 45 degree wye of equal areas, Q_b/Q_c = 0.385")
      .met("K branch", wye.branch(), 0.4646159237, absolute(0.005))
      .met("K run", wye.run(), -0.06827492035, absolute(0.005));
}

// Gardel, Bull. Tech. Suisse Romande 83, 1957; his polynomials from memory, not read again: a band at most.
TEST(PublishedJunctions, SharpTeeAfterGardel) {
  struct Row {
    const char* id;
    double flow, out_branch, out_run, in_branch, in_run;
  };
  const char* reason =
      "Gardel's polynomials are a third author beside the two that the law follows: dividing it is Hager's "
      "and "
      "Bassett's momentum theory, joining it is Levin's and Taliev's in Idelchik, which it meets within 0.03 "
      "and "
      "0.005. Gardel's tee loses 0.05 to 0.2 of a head less in the joining branch and run and in the "
      "dividing branch "
      "at a third of the flow, and 0.05 to 0.1 more where all of the flow turns. The band of the law is 20 "
      "%.";
  for (const Row& row :
       {Row{"S-ML-107", 0.3, 0.7505, 0.0042, -0.1328, 0.2805}, Row{"S-ML-108", 1.0, 1.3, 0.35, 1.2, 0.62}}) {
    const Tee dividing{Way::dividing, 1.0, row.flow};
    const Tee joining{Way::combining, 1.0, row.flow};
    Published(row.id, "Gardel, Bull. Tech. Suisse Romande 83, 1957; memory",
              fmt::format("sharp tee of equal areas, q = {:g}", row.flow))
        .not_met("K dividing branch", dividing.branch(), row.out_branch, absolute(0.05), reason)
        .not_met("K dividing run", dividing.run(), row.out_run, absolute(0.05), reason)
        .not_met("K joining branch", joining.branch(), row.in_branch, absolute(0.05), reason)
        .not_met("K joining run", joining.run(), row.in_run, absolute(0.05), reason);
  }
}

// Hager, J. Fluids Eng. 106, 1984; Bassett, Winterbone & Pearson, Proc. IMechE C 215, 2001; equations from
// memory.
TEST(PublishedJunctions, DividingTee) {
  struct Row {
    const char* id;
    double flow, lateral, straight;
  };
  for (const Row& row :
       {Row{"S-ML-109", 0.3, 0.8603899406, -0.06}, Row{"S-ML-110", 0.5, 0.8673165676, 0.0}}) {
    const Tee tee{Way::dividing, 1.0, row.flow};
    Published(row.id, "Hager, J. Fluids Eng. 106, 1984; Bassett, Winterbone & Pearson 2001; memory",
              fmt::format("dividing tee of equal areas, q = {:g}", row.flow))
        .met("K lateral", tee.branch(), row.lateral, absolute(0.03))
        .met("K straight", tee.run(), row.straight, absolute(0.03));
  }
}

}  // namespace
}  // namespace corefeed::losses
