// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/network/build.hpp"

/// Small networks whose flow can be written down.
namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::Outcome;
using testing::solved_network;
using testing::stiff_air;

constexpr double area = 0.01;

/// Flow through one loss by the definition dp = K rho V^2 / 2, with the density of the moving air: total
/// pressure and temperature less the head and the heat of the motion, found by repetition from the density at
/// rest.
double by_hand(const losses::Surroundings& air, double open, double loss, double drop,
               double gauge_upstream) {
  const double total = air.pressure + gauge_upstream;
  const double constant = air.air.gas_constant;
  double density = total / (constant * 300.0);
  double flow = 0.0;
  for (int pass = 0; pass < 200; ++pass) {
    flow = open * std::sqrt(2.0 * density * drop / loss);
    const double flux = flow / open;
    const double pressure = total - flux * flux / (2.0 * density);
    const double temperature = 300.0 - flux * flux / (2.0 * air.air.heat_capacity * density * density);
    density = pressure / (constant * temperature);
  }
  return flow;
}

TEST(ClosedForms, OneLossCarriesTheFlowOfItsDefinition) {
  for (const double drop : {5.0, 100.0, 1000.0, 2500.0}) {
    for (const double loss : {0.8, 3.0, 40.0}) {
      const Outcome one =
          solved_network(Builder(dry_air(0.0))
                             .fixed("before", drop)
                             .fixed("behind", 0.0)
                             .add("gap", "loss", "before", "behind", {{"area", area}, {"loss", loss}})
                             .network());
      const double expected = by_hand(dry_air(0.0), area, loss, drop, drop);
      // The law rounds |V| off over 1 mm/s: 1.2e-6 of the flow in the slowest case, 0.46 m/s.
      EXPECT_NEAR(one.flow("gap"), expected, 1.5e-6 * expected) << drop << ' ' << loss;
    }
  }
}

TEST(ClosedForms, ConstantDensityGivesTheTextbookRoot) {
  const Outcome one =
      solved_network(Builder(stiff_air(1.2, 0.0))
                         .fixed("before", 500.0)
                         .fixed("behind", 0.0)
                         .add("gap", "loss", "before", "behind", {{"area", area}, {"loss", 2.0}})
                         .network());
  const double expected = area * std::sqrt(2.0 * 1.2 * 500.0 / 2.0);
  EXPECT_NEAR(one.flow("gap"), expected, 1e-6 * expected);
}

TEST(ClosedForms, LossesInSeriesAddOnOneArea) {
  const Outcome row =
      solved_network(Builder(stiff_air(1.2, 0.0))
                         .fixed("before", 400.0)
                         .fixed("behind", 0.0)
                         .add("first", "loss", "before", "a", {{"area", area}, {"loss", 1.0}})
                         .add("second", "loss", "a", "b", {{"area", 2.0 * area}, {"loss", 6.0}})
                         .add("third", "loss", "b", "behind", {{"area", area}, {"loss", 0.5}})
                         .network());
  // K on the first area: 1 + 6/4 + 0.5 = 3.
  const double expected = area * std::sqrt(2.0 * 1.2 * 400.0 / 3.0);
  EXPECT_NEAR(row.flow("first"), expected, 1e-6 * expected);
  EXPECT_NEAR(row.flow("third"), row.flow("first"), 1e-12);
  EXPECT_NEAR(row.pressure("a"), 400.0 * 2.0 / 3.0, 1e-3);
  EXPECT_NEAR(row.pressure("b"), 400.0 * 0.5 / 3.0, 1e-3);
}

TEST(ClosedForms, LossesInParallelAddTheirConductances) {
  const Outcome side = solved_network(
      Builder(stiff_air(1.2, 0.0))
          .fixed("before", 300.0)
          .fixed("behind", 0.0)
          .add("wide", "loss", "before", "face", {{"area", 0.02}, {"loss", 1.0}})
          .add("one", "loss", "face", "behind", {{"area", 0.01}, {"loss", 4.0}})
          .add("two", "leak", "face", "behind", {{"area", 0.004}, {"discharge_coefficient", 0.5}})
          .network());
  // m = C sqrt(2 rho dp): C of the pair 0.01/2 + 0.5 * 0.004 = 0.007, of the first 0.02.
  const double both = 1.0 / std::sqrt(1.0 / (0.02 * 0.02) + 1.0 / (0.007 * 0.007));
  const double expected = both * std::sqrt(2.0 * 1.2 * 300.0);
  EXPECT_NEAR(side.flow("wide"), expected, 1e-6 * expected);
  EXPECT_NEAR(side.flow("one"), expected * 5.0 / 7.0, 1e-6 * expected);
  EXPECT_NEAR(side.flow("two"), expected * 2.0 / 7.0, 1e-6 * expected);
}

TEST(ClosedForms, MergedLossEqualsItsParts) {
  const auto whole = [](double loss) {
    return solved_network(Builder(dry_air(0.0))
                              .fixed("before", 200.0)
                              .fixed("behind", 0.0)
                              .add("all", "loss", "before", "behind", {{"area", area}, {"loss", loss}})
                              .network())
        .flow("all");
  };
  const Outcome halves =
      solved_network(Builder(dry_air(0.0))
                         .fixed("before", 200.0)
                         .fixed("behind", 0.0)
                         .add("one", "loss", "before", "between", {{"area", area}, {"loss", 2.0}})
                         .add("two", "loss", "between", "behind", {{"area", area}, {"loss", 3.0}})
                         .network());
  // The second part sees the air 80 Pa thinner, 8e-4 of its density, on 3/5 of the drop and a square root.
  EXPECT_NEAR(halves.flow("one"), whole(5.0), 5e-4 * whole(5.0));
  EXPECT_LT(halves.flow("one"), whole(5.0));
}

TEST(ClosedForms, EqualBranchesShareEqually) {
  Builder builder(dry_air(0.0));
  builder.fixed("before", 250.0).fixed("behind", 0.0);
  builder.add("trunk", "loss", "before", "face", {{"area", 0.05}, {"loss", 0.4}});
  for (const char* name : {"a", "b", "c", "d"}) {
    builder.add(name, "duct", "face", "behind",
                {{"length", 1.5}, {"area", 0.008}, {"hydraulic_diameter", 0.1}});
  }
  const Outcome shared = solved_network(builder.network());
  for (const char* name : {"a", "b", "c", "d"}) {
    EXPECT_NEAR(shared.flow(name), 0.25 * shared.flow("trunk"), 1e-11 * shared.flow("trunk")) << name;
  }
}

TEST(ClosedForms, ClosedFlapBetweenEqualPressuresPassesNothing) {
  const Outcome still = solved_network(Builder(dry_air(0.0))
                                           .fixed("one", 40.0)
                                           .fixed("other", 40.0)
                                           .add("flap", "flap", "one", "other", {{"area", area}})
                                           .network());
  // By its loss a picopascal, which is what pressures are solved to.
  EXPECT_NEAR(still.flow("flap"), 0.0, 1e-10);
}

TEST(ClosedForms, FlapHoldsTheAirBack) {
  const auto through = [](double before, double behind) {
    return solved_network(Builder(stiff_air(1.2, 0.0))
                              .fixed("before", before)
                              .fixed("behind", behind)
                              .add("flap", "flap", "before", "behind",
                                   {{"area", area}, {"loss", 2.0}, {"reverse_loss", 400.0}})
                              .network())
        .flow("flap");
  };
  // Open and shut paths change over by tanh(V / 0.5 m/s). At 3.2 m/s back 3e-6 of the open path is left,
  // whose conductance is 14 times that of the shut one; at 45 m/s forward nothing is left to see.
  const double open = area * std::sqrt(2.0 * 1.2 * 2400.0 / 2.0);
  const double shut = area * std::sqrt(2.0 * 1.2 * 2400.0 / 400.0);
  EXPECT_NEAR(through(2400.0, 0.0), open, 3e-6 * open);
  EXPECT_NEAR(through(0.0, 2400.0), -shut, 1e-4 * shut);
}

TEST(ClosedForms, DeadEndTakesThePressureAndNoFlow) {
  const Outcome outcome =
      solved_network(Builder(dry_air(0.0))
                         .fixed("before", 500.0)
                         .fixed("behind", 0.0)
                         .add("in", "loss", "before", "face", {{"area", area}, {"loss", 1.0}})
                         .add("out", "loss", "face", "behind", {{"area", area}, {"loss", 1.0}})
                         .add("stub", "duct", "face", "blind",
                              {{"length", 0.5}, {"area", 0.01}, {"hydraulic_diameter", 0.1}})
                         .network());
  EXPECT_NEAR(outcome.flow("stub"), 0.0, 1e-12);
  EXPECT_NEAR(outcome.pressure("blind"), outcome.pressure("face"), 1e-7);
}

TEST(ClosedForms, LeftAndRightOfTheCarAreAlike) {
  Builder builder(dry_air(45.0));
  for (const std::string side : {"left", "right"}) {
    builder.add(side + "_inlet", "inlet", "", side + "_throat",
                {{"area", 0.01}, {"cp", -0.1}, {"recovery", 0.72}});
    builder.add(side + "_duct", "duct", side + "_throat", "bay",
                {{"length", 0.8}, {"area", 0.012}, {"hydraulic_diameter", 0.11}});
  }
  builder.add("vent", "vent", "bay", "", {{"area", 0.02}, {"cp", -0.3}, {"discharge_coefficient", 0.62}});
  const Outcome car = solved_network(builder.network());
  EXPECT_NEAR(car.flow("left_duct"), car.flow("right_duct"), 1e-12);
  EXPECT_NEAR(car.flow("vent"), 2.0 * car.flow("left_inlet"), 1e-11);
  EXPECT_GT(car.flow("vent"), 0.1);
}

TEST(ClosedForms, ReferencePressureShiftsEverythingAlike) {
  const auto solved = [](double shift) {
    return solved_network(Builder(dry_air(0.0))
                              .fixed("before", 60.0 + shift)
                              .fixed("behind", shift)
                              .add("in", "loss", "before", "face", {{"area", area}, {"loss", 1.0}})
                              .add("out", "loss", "face", "behind", {{"area", area}, {"loss", 2.0}})
                              .network());
  };
  const Outcome zero = solved(0.0);
  const Outcome moved = solved(0.5);
  // 0.5 Pa of 1 bar changes the density by 5e-6 and the flow by half of that.
  EXPECT_NEAR(moved.pressure("face") - zero.pressure("face"), 0.5, 1e-5);
  EXPECT_NEAR(moved.flow("in") / zero.flow("in") - 1.0, 2.5e-6, 2e-7);
}

TEST(ClosedForms, TinyPressureDropStillHasItsFlow) {
  const double drop = 1e-6;
  const Outcome tiny =
      solved_network(Builder(dry_air(0.0))
                         .fixed("before", drop)
                         .fixed("behind", 0.0)
                         .add("gap", "loss", "before", "behind", {{"area", area}, {"loss", 1.0}})
                         .network());
  // K rho V sqrt(V^2 + e^2) / 2 = dp with e = 1 mm/s, solved for V^2.
  const double density = 1e5 / (287.055 * 300.0);
  const double wanted = 2.0 * drop / density;
  const double velocity = std::sqrt(0.5 * (std::sqrt(1e-12 + 4.0 * wanted * wanted) - 1e-6));
  EXPECT_NEAR(tiny.flow("gap"), density * area * velocity, 1e-4 * density * area * velocity);
}

TEST(ClosedForms, FanAloneLiftsToItsShutoffAndRunsOutToItsFreeFlow) {
  const auto fan_against = [](double back_pressure) {
    return solved_network(
               Builder(stiff_air(1.2, 0.0))
                   .fixed("before", 0.0)
                   .fixed("behind", back_pressure)
                   .add("fan", "fan", "before", "behind",
                        {{"area", 0.06}, {"curve.shutoff_pressure", 180.0}, {"curve.free_flow", 0.75}})
                   .network())
        .flow("fan");
  };
  // The curve is flat at shut-off: the 1e-7 by which 180 Pa squeeze the air here are 3e-4 kg/s.
  EXPECT_NEAR(fan_against(180.0), 0.0, 5e-4);
  EXPECT_NEAR(fan_against(0.0), 1.2 * 0.75, 1e-5);
  EXPECT_NEAR(fan_against(135.0), 1.2 * 0.375, 1e-5);
  // Pushed back harder than it lifts: -(180 + 320 Q^2) = -260.
  EXPECT_NEAR(fan_against(260.0), -1.2 * 0.5, 1e-5);
}

}  // namespace
}  // namespace corefeed::network
