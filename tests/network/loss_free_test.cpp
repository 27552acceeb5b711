// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/loss_free.hpp"

#include <gtest/gtest.h>

#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;

/// Two held pressures with a screen between them and a loss beside it.
Network between(double first, double second, double open_fraction) {
  Builder builder(dry_air(30.0));
  builder.fixed("front", first).fixed("back", second);
  builder.add("guard", "screen", "front", "middle", {{"area", 0.05}, {"open_fraction", open_fraction}});
  builder.add("frame", "screen", "middle", "back", {{"area", 0.05}, {"open_fraction", 1.0}});
  builder.add("beside", "loss", "front", "back", {{"area", 0.05}, {"loss", 2.0}});
  return builder.network();
}

TEST(LossFree, PressuresThatContradictEachOtherAreNamed) {
  EXPECT_EQ(loss_free_fault(between(500.0, 100.0, 1.0)),
            "no steady state: guard, frame have no loss between front, held at 500 Pa, and back, held at 100 "
            "Pa, so no flow has these pressures");
  EXPECT_EQ(loss_free_fault(between(500.0, 100.0, 0.99)), "");
}

TEST(LossFree, EqualPressuresLeaveTheFlowOpen) {
  EXPECT_EQ(loss_free_fault(between(100.0, 100.0, 1.0)),
            "the flow is not determined: guard, frame have no loss between front, held at 100 Pa, and back, "
            "held at 100 Pa, so any flow has these pressures");
}

TEST(LossFree, RingsAreNamedAndChainsAreNot) {
  Builder builder(dry_air(30.0));
  builder.add("nose", "inlet", "", "a", {{"area", 0.05}, {"cp", 0.9}});
  builder.add("one", "screen", "a", "b", {{"area", 0.05}, {"open_fraction", 1.0}});
  builder.add("two", "screen", "b", "c", {{"area", 0.05}, {"open_fraction", 1.0}});
  builder.add("hole", "vent", "c", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.6}});
  EXPECT_EQ(loss_free_fault(builder.network()), "");
  // Without a loss, but no ring: the flow is that of nose and hole.
  EXPECT_TRUE(testing::solve_network(builder.network()).solved.converged());
  builder.add("three", "screen", "c", "a", {{"area", 0.02}, {"open_fraction", 1.0}});
  EXPECT_EQ(loss_free_fault(builder.network()),
            "the flow is not determined: two, one, three have no loss and form a ring, around which any flow "
            "may go");
}

TEST(LossFree, LittleIsNotNothing) {
  Builder builder(dry_air(30.0));
  builder.add("thin", "loss", "a", "b", {{"area", 0.05}, {"loss", 1e-6}});
  builder.add("all_open", "screen", "a", "b",
              {{"area", 0.05}, {"open_fraction", 1.0}, {"wire_diameter", 0.001}});
  const Network& network = builder.network();
  EXPECT_FALSE(is_loss_free(network, network.elements[0]));
  EXPECT_TRUE(is_loss_free(network, network.elements[1]));
}

}  // namespace
}  // namespace corefeed::network
