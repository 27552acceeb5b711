// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/losses/law_fixture.hpp"
#include "tests/network/build.hpp"
#include "tests/support/check.hpp"

// A given flow, whatever the pressure: alone, and in a network of air.
namespace corefeed::losses {
namespace {

using testing::LawCase;

TEST(Supply, BalancesAtItsOwnFlowWhateverThePressure) {
  for (const double pressure : {-2e3, 0.0, 7e3}) {
    LawCase law("supply");
    law.set("flow", 1.2).set("temperature", 350.0);
    law.state.pressure_to = pressure;
    law.state.mass_flow = 1.2;
    const Terms<double> terms = law.terms();
    EXPECT_DOUBLE_EQ(terms.boundary - pressure - terms.pressure_loss(), 0.0);
  }
}

TEST(Supply, BringsItsTemperatureAndTakesOutThatOfTheNode) {
  using network::testing::Builder;
  const auto outcome = network::testing::solved_network(
      Builder(network::testing::dry_air(0.0))
          .fixed("away", 0.0)
          .add("in", "supply", "", "box", {{"flow", 0.5}, {"temperature", 340.0}})
          .add("out", "supply", "", "box", {{"flow", -0.2}})
          .add("rest", "loss", "box", "away", {{"area", 0.01}, {"loss", 2.0}})
          .network());
  EXPECT_NEAR(outcome.flow("in"), 0.5, 1e-9);
  EXPECT_NEAR(outcome.flow("out"), -0.2, 1e-9);
  EXPECT_NEAR(outcome.flow("rest"), 0.3, 1e-9);
  EXPECT_NEAR(outcome.temperature("box"), 340.0, 1e-6);
}

TEST(Supply, AsksForTheTemperatureOfWhatItBrings) {
  LawCase law("supply");
  law.set("flow", 0.4);
  EXPECT_NE(law.kind().contradiction(law.values()), "");
  law.set("flow", -0.4);
  EXPECT_EQ(law.kind().contradiction(law.values()), "");
}

}  // namespace
}  // namespace corefeed::losses
