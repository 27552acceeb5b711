// SPDX-License-Identifier: Apache-2.0
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

LawCase fitting(std::string_view style, double bore) {
  LawCase law = published::incompressible("fitting", 1.2);
  const auto& words = law.kind().keys[find_key(law.kind(), "style")].choices;
  const auto found = std::find(words.begin(), words.end(), style);
  EXPECT_NE(found, words.end()) << style;
  return law.set("style", static_cast<double>(found - words.begin())).set("bore", bore);
}

double loss_at(LawCase law, double reynolds) {
  law.state.mass_flow = 1e-3;
  for (int i = 0; i < 40; ++i) law.state.mass_flow *= reynolds / law.reported("reynolds");
  return law.reported("loss_coefficient");
}

// Hooper 1981, Chem. Eng. 88(17):96: K1/Re + K_inf (1 + 1 inch / D), reckoned by hand.
TEST(Fitting, FollowsTheTwoConstantsByHand) {
  struct Row {
    const char* style;
    double bore, reynolds, loss;
  };
  for (const Row& row :
       {Row{"elbow_90_screwed", 0.0254, 100.0, 8.0 + 0.80},
        Row{"elbow_90_screwed", 0.0254, 1e6, 0.0008 + 0.80},
        Row{"elbow_90_long_radius", 0.0508, 1000.0, 0.8 + 0.30},
        Row{"elbow_90_mitre", 0.0508, 1e4, 0.1 + 1.725}, Row{"elbow_45", 0.1016, 1e4, 0.05 + 0.25},
        Row{"tee_branch", 0.0254, 500.0, 1.0 + 1.40}, Row{"tee_run", 0.0254, 500.0, 0.4 + 0.20},
        Row{"ball_valve", 0.0508, 3000.0, 0.1 + 0.15}, Row{"globe_valve", 0.0254, 1500.0, 1.0 + 8.0},
        Row{"swing_check_valve", 0.0508, 1500.0, 1.0 + 2.25}}) {
    // 4e-5 of a velocity of some cm/s is rounded off in the Reynolds number; the test asks for that number.
    expect_relative(loss_at(fitting(row.style, row.bore), row.reynolds), row.loss, 1e-6, row.style);
  }
}

// All rows of the same table, from memory: K1 and K_inf. Slow and fast flow through one inch of bore give
// both.
TEST(Fitting, HoldsHoopersConstants) {
  struct Row {
    const char* style;
    double slow, fast;
  };
  for (const Row& row :
       {Row{"elbow_90_screwed", 800, 0.40}, Row{"elbow_90_flanged", 800, 0.25},
        Row{"elbow_90_long_radius", 800, 0.20}, Row{"elbow_90_mitre", 1000, 1.15}, Row{"elbow_45", 500, 0.20},
        Row{"tee_branch", 500, 0.70}, Row{"tee_run", 200, 0.10}, Row{"ball_valve", 300, 0.10},
        Row{"gate_valve", 300, 0.10}, Row{"globe_valve", 1500, 4.00}, Row{"butterfly_valve", 800, 0.25},
        Row{"swing_check_valve", 1500, 1.50}, Row{"lift_check_valve", 2000, 10.0},
        Row{"diaphragm_valve", 1000, 2.00}}) {
    const double at_100 = loss_at(fitting(row.style, 0.0254), 100.0);
    const double at_1000 = loss_at(fitting(row.style, 0.0254), 1000.0);
    expect_relative((at_100 - at_1000) / (1.0 / 100.0 - 1.0 / 1000.0), row.slow, 1e-5, row.style);
    expect_relative((10.0 * at_1000 - at_100) / 9.0 / 2.0, row.fast, 1e-5, row.style);
  }
}

// An entrance or exit does not depend on the bore: 160/Re + 0.5, and the whole head.
TEST(Fitting, EndsDoNotDependOnTheBore) {
  for (const double bore : {0.01, 0.05, 0.2}) {
    expect_relative(loss_at(fitting("sharp_entrance", bore), 1600.0), 0.1 + 0.5, 1e-6, "entrance");
    expect_relative(loss_at(fitting("exit", bore), 1600.0), 1.0, 1e-6, "exit");
  }
}

// Creeping flow: the loss is linear in the flow, K1/Re of the head, K1 mu V / (2 D).
TEST(Fitting, CreepingFlowIsViscous) {
  LawCase law = fitting("elbow_90_screwed", 0.02);
  law.state.mass_flow = 1.2 * testing::pi / 4.0 * 0.02 * 0.02 * 1e-4;
  const double viscosity = law.outside.air.viscosity(300.0);
  // K_inf has 0.9 of 6000.
  expect_relative(law.loss(), 800.0 * viscosity * 1e-4 / (2.0 * 0.02), 3e-3);
}

TEST(Fitting, LosesTheSameBackwardsAndByItsFactor) {
  LawCase law = fitting("globe_valve", 0.03);
  law.state.mass_flow = 0.004;
  const double forward = law.loss();
  law.state.mass_flow = -0.004;
  EXPECT_DOUBLE_EQ(law.loss(), -forward);
  law.set("loss_factor", 1.4);
  expect_relative(law.loss(), -1.4 * forward, 1e-12);
}

}  // namespace
}  // namespace corefeed::losses
