// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// One side of a cooler between two liquids: its loss. The heat needs both sides (tests/studies).
namespace corefeed::losses {
namespace {

TEST(LiquidCooler, LosesItsCoefficientOnThePorts) {
  testing::LawCase law("liquid_cooler");
  law.liquid = fluids::constant_liquid(2100.0, 850.0, 0.010, 0.13).value();
  law.set("bore", 0.016).set("loss", 8.0);
  law.state.mass_flow = 850.0 * 3.0 * testing::pi / 4.0 * 0.016 * 0.016;
  // 8 * 850 * 9/2 Pa; slow flow is rounded off over 1 mm/s.
  testing::expect_relative(law.loss(), 8.0 * 850.0 * 4.5, 1e-6);
  testing::expect_relative(law.reported("velocity"), 3.0, 1e-9);
  testing::expect_relative(law.reported("volume_flow"), 3.0 * testing::pi / 4.0 * 0.016 * 0.016, 1e-12);
}

}  // namespace
}  // namespace corefeed::losses
