// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "corefeed/losses/liquid_core.hpp"
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// The liquid side of a core: a known loss, or that of tubes which its heat decides (tests/cooling and
// tests/studies). Here the form of the row.
namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

TEST(CorePassage, LosesItsCoefficientOnThePorts) {
  LawCase law("core_passage");
  law.liquid = fluids::constant_liquid(4000.0, 1000.0, 1e-3, 0.6).value();
  law.set("bore", 0.03).set("loss", 9.0);
  law.state.mass_flow = 1000.0 * 2.0 * testing::pi / 4.0 * 0.03 * 0.03;
  // 9 times 2 kPa at 2 m/s; slow flow is rounded off over 1 mm/s.
  expect_relative(law.loss(), 18e3, 1e-6);
  law.state.mass_flow = -law.state.mass_flow;
  expect_relative(law.loss(), -18e3, 1e-6);
}

// Ports and tubes stand one behind the other: their losses add up.
TEST(CorePassage, AddsTheLossOfItsTubes) {
  LawCase law("core_passage");
  law.liquid = fluids::constant_liquid(4000.0, 1000.0, 1e-3, 0.6).value();
  law.set("bore", 0.03).set("loss", 9.0);
  law.state.mass_flow = 1000.0 * 2.0 * testing::pi / 4.0 * 0.03 * 0.03;
  law.tube_loss = 5e3;
  expect_relative(law.loss(), 18e3 + 5e3, 1e-6);
}

TEST(CorePassage, AsksForWholePassesAndTheirReturnTanks) {
  LawCase law("core_passage");
  law.set("bore", 0.0142).set("tubes.number", 10).set("tubes.length", 0.3).set("tubes.width", 0.042);
  law.set("tubes.height", 0.0025);
  const auto fault = [&law] { return law.kind().contradiction(law.values()); };
  EXPECT_EQ(fault(), "");
  law.set("passes", 1.5);
  EXPECT_NE(fault().find("whole"), std::string::npos);
  law.set("passes", 2);
  EXPECT_NE(fault().find("return_area"), std::string::npos);
  law.set("return_area", 6e-4);
  EXPECT_EQ(fault(), "");
  law.set("passes", 12);
  EXPECT_NE(fault().find("more passes than tubes"), std::string::npos);
}

// The tubes' laws are known to 20 %; offset strips in oil to 35 %.
TEST(CorePassage, CarriesTheBandOfItsTubes) {
  LawCase law("core_passage");
  law.set("bore", 0.0142).set("tubes.number", 10);
  EXPECT_DOUBLE_EQ(sigma_of(law.kind(), passage::heat_factor, law.values()), 0.20);
  law.set("turbulator.spacing", 2.2e-3);
  EXPECT_DOUBLE_EQ(sigma_of(law.kind(), passage::heat_factor, law.values()), 0.35);
}

}  // namespace
}  // namespace corefeed::losses
