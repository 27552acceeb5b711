// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/solution.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/cooling/case_parts.hpp"

namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using network::testing::dry_air;
using network::testing::Given;
using testing::case_of;
using testing::cool;
using testing::plain_liquid;
using testing::value;

const Given radiator_face = {{"face_area", 0.15},
                             {"air_loss.linear", 24.0},
                             {"air_loss.quadratic", 6.0},
                             {"air_conductance.value", 3600.0},
                             {"air_conductance.flow", 1.2},
                             {"liquid_conductance.value", 9000.0},
                             {"liquid_conductance.flow", 2.0}};

/// A face before and a room behind, this many pascals apart.
Builder rig(double drop) {
  Builder builder(dry_air(0.0));
  builder.fixed("face", drop).fixed("room", 0.0);
  return builder;
}

/// Heat that the air between two nodes' temperatures carries away, recomputed from flow and temperatures.
double taken_by_air(const Case& problem, const Solution& solution, const std::string& core, double arriving) {
  const double leaving = value(solution, core + ".air_temperature_out");
  return value(solution, core + ".flow") * problem.network.outside.air.heat_capacity * (leaving - arriving);
}

Solution converged(const Case& problem) {
  Solution solution = solve(problem);
  EXPECT_TRUE(solution.converged) << solution.explanation;
  return solution;
}

TEST(CoolingSolution, AirTakesEachLoopsHeatLoad) {
  Builder builder = rig(500.0);
  builder.add("radiator", "core", "face", "a", radiator_face)
      .add("out", "loss", "a", "room", {{"area", 0.1}, {"loss", 1.0}});
  builder.add("cooler", "core", "face", "b", radiator_face)
      .add("other", "loss", "b", "room", {{"area", 0.1}, {"loss", 2.0}});
  Case problem = case_of(builder.network());
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 60e3}, {"radiator"});
  cool(problem, {"oil", plain_liquid(2250.0), 0.6, 14e3}, {"cooler"});
  const Solution solution = converged(problem);
  EXPECT_NEAR(taken_by_air(problem, solution, "radiator", 300.0), 60e3, 1e-9 * 60e3);
  EXPECT_NEAR(taken_by_air(problem, solution, "cooler", 300.0), 14e3, 1e-9 * 14e3);
  EXPECT_NEAR(value(solution, "radiator.heat"), 60e3, 1e-9 * 60e3);
  EXPECT_NEAR(value(solution, "a.temperature"), value(solution, "radiator.air_temperature_out"), 1e-9);
  // The liquid gives what the air takes.
  const LoopState& oil = solution.loops[1];
  EXPECT_NEAR(0.6 * 2250.0 * (oil.temperature - oil.temperature_cold), 14e3, 1e-6);
  EXPECT_EQ(solution.loops[0].heat, 60e3);
}

TEST(CoolingSolution, HeatedAirChokesItsCore) {
  const auto flow_at = [](double load) {
    Builder builder = rig(500.0);
    builder.add("radiator", "core", "face", "a", radiator_face);
    builder.add("out", "loss", "a", "room", {{"area", 0.05}, {"loss", 1.0}});
    Case problem = case_of(builder.network());
    cool(problem, {"coolant", plain_liquid(3630.0), 2.0, load}, {"radiator"});
    return value(converged(problem), "radiator.flow");
  };
  EXPECT_LT(flow_at(60e3), 0.99 * flow_at(0.0));
}

Case two_cores(double left_share, double right_share) {
  Builder builder = rig(400.0);
  builder.add("left", "core", "face", "room", radiator_face)
      .add("right", "core", "face", "room", radiator_face);
  Case problem = case_of(builder.network());
  if (left_share > 0.0) {
    const std::size_t key = losses::find_key(*losses::find_kind("core"), "liquid_share");
    for (std::size_t e : {0u, 1u}) {
      problem.network.elements[e].numbers[key] = e == 0 ? left_share : right_share;
      problem.network.elements[e].given |= std::uint64_t{1} << key;
    }
  }
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 80e3}, {"left", "right"});
  return problem;
}

TEST(CoolingSolution, TwoCoresOfALoopShareItsFlowEqually) {
  const Solution solution = converged(two_cores(0.0, 0.0));
  EXPECT_NEAR(value(solution, "left.heat"), 40e3, 1e-4);
  EXPECT_NEAR(value(solution, "left.conductance"), value(solution, "right.conductance"), 1e-9);
  // Half of 2 kg/s in each: 9000 W/K at 2 kg/s with exponent 0.8, hA_a by the air's own flow.
  const double air = 3600.0 * std::sqrt(value(solution, "left.flow") / 1.2);
  const double liquid = 9000.0 * std::pow(0.5, 0.8);
  EXPECT_NEAR(value(solution, "left.conductance"), 1.0 / (1.0 / air + 1.0 / liquid), 1e-6);
}

TEST(CoolingSolution, GivenSharesDivideTheFlow) {
  const Solution solution = converged(two_cores(0.7, 0.3));
  EXPECT_NEAR(value(solution, "left.heat") + value(solution, "right.heat"), 80e3, 1e-9 * 80e3);
  EXPECT_GT(value(solution, "left.heat"), value(solution, "right.heat"));
  for (const auto& [core, share] :
       {std::pair{std::string("left"), 0.7}, std::pair{std::string("right"), 0.3}}) {
    const double air = value(solution, core + ".flow") * dry_air(0.0).air.heat_capacity;
    const double liquid = share * 2.0 * 3630.0;
    EXPECT_NEAR(value(solution, core + ".capacity_ratio"), std::min(air, liquid) / std::max(air, liquid),
                1e-9);
  }
}

TEST(CoolingSolution, EqualSharesGivenAreThoseAssumed) {
  const Solution assumed = converged(two_cores(0.0, 0.0));
  const Solution given = converged(two_cores(0.5, 0.5));
  EXPECT_NEAR(value(assumed, "coolant.temperature"), value(given, "coolant.temperature"), 1e-9);
}

TEST(CoolingSolution, CoreWithoutHeatTransferLeavesItAllToTheOther) {
  Case problem = two_cores(0.0, 0.0);
  problem.network.elements[1].numbers[losses::find_key(*losses::find_kind("core"), "heat_transfer")] = 0.0;
  const Solution solution = converged(problem);
  EXPECT_NEAR(value(solution, "left.heat"), 80e3, 1e-4);
  EXPECT_EQ(value(solution, "right.heat"), 0.0);
}

/// Oil cooler before a radiator in one stream of air from 25 degC.
Case stack(double drop) {
  losses::Surroundings air =
      losses::surroundings_of({.gas_constant = 287.055, .heat_capacity = 1007.0}, 1e5, 298.15, 0.0, 0.0);
  Builder builder(air);
  builder.fixed("front", drop, 298.15).fixed("rear", 0.0, 298.15);
  const auto core = [&](const char* name, const char* from, const char* to, double conductance) {
    // Conductances that do not move with the flow, half of the resistance on either side.
    builder.add(name, "core", from, to,
                {{"face_area", 0.15},
                 {"air_loss.linear", 24.0},
                 {"air_loss.quadratic", 6.0},
                 {"air_conductance.value", 2.0 * conductance},
                 {"air_conductance.flow", 1.2},
                 {"air_conductance.exponent", 0.0},
                 {"liquid_conductance.value", 2.0 * conductance},
                 {"liquid_conductance.flow", 1.0},
                 {"liquid_conductance.exponent", 0.0}});
  };
  core("oil_cooler", "front", "between", 420.0);
  core("radiator", "between", "rear", 1700.0);
  Case problem = case_of(builder.network());
  cool(problem, {"oil", plain_liquid(2100.0), 0.4, 15e3}, {"oil_cooler"});
  cool(problem, {"coolant", plain_liquid(3500.0), 1.3, 40e3}, {"radiator"});
  return problem;
}

// Worked apart from this program with the exact series: 1.2 kg/s of air at 25 degC through an oil cooler (0.4
// kg/s of 2100 J/(kg K), UA 420 W/K, 15 kW) and the radiator behind it (1.3 kg/s of 3500 J/(kg K), UA 1700
// W/K, 40 kW).
// S-NW-18.
TEST(CoolingSolution, RadiatorBehindAnOilCooler) {
  double low = 100.0;
  double high = 3000.0;
  for (int halving = 0; halving < 45; ++halving) {
    const double middle = 0.5 * (low + high);
    (value(converged(stack(middle)), "radiator.flow") < 1.2 ? low : high) = middle;
  }
  const Solution solution = converged(stack(low));
  ASSERT_NEAR(value(solution, "radiator.flow"), 1.2, 1e-8);
  const auto celsius = [&](const char* name) { return value(solution, name) - 273.15; };
  EXPECT_NEAR(value(solution, "oil_cooler.effectiveness"), 0.3450720171, 1e-7);
  EXPECT_NEAR(value(solution, "radiator.effectiveness"), 0.6931334554, 1e-7);
  EXPECT_NEAR(celsius("oil.temperature"), 76.749032, 1e-5);
  EXPECT_NEAR(celsius("oil.temperature_cold"), 58.89188914, 1e-5);
  EXPECT_NEAR(celsius("between.temperature"), 37.41310824, 1e-5);
  EXPECT_NEAR(celsius("coolant.temperature"), 85.16959976, 1e-5);
  EXPECT_NEAR(celsius("coolant.temperature_cold"), 76.37839096, 1e-5);
  EXPECT_NEAR(celsius("radiator.air_temperature_out"), 70.51473022, 1e-5);
}

TEST(CoolingSolution, WithoutAirFlowTheHeatHasNowhereToGo) {
  Builder builder = rig(0.0);
  builder.add("radiator", "core", "face", "room", radiator_face);
  Case problem = case_of(builder.network());
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 60e3}, {"radiator"});
  const Solution solution = solve(problem);
  EXPECT_LE(solution.iterations, SolveOptions{}.most_iterations);
  ASSERT_EQ(solution.loops.size(), 1u);
  // Heat without air to take it up has no steady temperature, whatever the equations end at.
  EXPECT_FALSE(solution.converged);
  EXPECT_EQ(solution.ending, Ending::no_steady_temperature);
  EXPECT_NE(solution.explanation.find("coolant"), std::string::npos) << solution.explanation;
}

// A tolerance that any state meets ends the search at the start; the certificate, which is not met there, has
// the state driven on to the solution.
TEST(CoolingSolution, AStateThatDoesNotCloseIsDrivenOn) {
  constexpr double same = 1e-9;  // relative; balances close to 1e-10
  const Case problem = testing::small_car();
  const Solution loose = solve(problem, {.tolerance = 1e60});
  ASSERT_TRUE(loose.converged);
  EXPECT_TRUE(loose.certificate.met());
  const Solution tight = solve(problem);
  for (const char* quantity : {"radiator.flow", "coolant.temperature"}) {
    EXPECT_NEAR(value(loose, quantity), value(tight, quantity), same * value(tight, quantity)) << quantity;
  }
}

TEST(CoolingSolution, NoHeatLoadLeavesTheLiquidAsColdAsTheAir) {
  Builder builder = rig(300.0);
  builder.add("radiator", "core", "face", "room", radiator_face);
  Case problem = case_of(builder.network());
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 0.0}, {"radiator"});
  const Solution solution = converged(problem);
  EXPECT_NEAR(solution.loops[0].temperature, 300.0, 1e-6);
  EXPECT_NEAR(solution.loops[0].temperature_cold, 300.0, 1e-6);
  EXPECT_NEAR(value(solution, "radiator.air_temperature_out"), 300.0, 1e-6);
}

TEST(CoolingSolution, LiquidsWithVaryingHeatCapacityCloseTheBalance) {
  const fluids::Liquid liquids[] = {fluids::water(), fluids::water_glycol(0.5).value(),
                                    fluids::oil(60e-6, 313.15, 9e-6, 373.15, 870.0).value()};
  for (const fluids::Liquid& liquid : liquids) {
    Builder builder = rig(400.0);
    builder.add("radiator", "core", "face", "room", radiator_face);
    Case problem = case_of(builder.network());
    cool(problem, {"liquid", liquid, 0.9, 30e3}, {"radiator"});
    const Solution solution = converged(problem);
    EXPECT_NEAR(taken_by_air(problem, solution, "radiator", 300.0), 30e3, 1e-9 * 30e3) << liquid.name();
    const double hot = solution.loops[0].temperature;
    const double cold = solution.loops[0].temperature_cold;
    // Enthalpy by Simpson's rule against the heat capacity at the mean temperature.
    const double mean = (liquid.heat_capacity(hot) + 4.0 * liquid.heat_capacity(0.5 * (hot + cold)) +
                         liquid.heat_capacity(cold)) /
                        6.0;
    EXPECT_NEAR(0.9 * mean * (hot - cold), 30e3, 5e-4 * 30e3) << liquid.name();
    EXPECT_LT(cold, hot);
    EXPECT_GT(cold, 300.0);
  }
}

TEST(CoolingSolution, HeldTemperatureGivesTheHeatThatBelongsToIt) {
  Case problem = two_cores(0.7, 0.3);
  problem.loops[0].fluid = fluids::water_glycol(0.5).value();
  const Solution loaded = converged(problem);
  problem.loops[0].held_temperature = loaded.loops[0].temperature;
  problem.loops[0].heat_load = 20e3;  // a poor first guess
  const Solution held = converged(problem);
  EXPECT_NEAR(held.loops[0].heat, 80e3, 1e-6 * 80e3);
  EXPECT_NEAR(value(held, "coolant.heat"), 80e3, 1e-6 * 80e3);
  EXPECT_NEAR(held.loops[0].temperature_cold, loaded.loops[0].temperature_cold, 1e-6);
  EXPECT_EQ(value(held, "coolant.temperature"), loaded.loops[0].temperature);
  EXPECT_NEAR(value(held, "left.heat") + value(held, "right.heat"), 80e3, 1e-6 * 80e3);
}

TEST(CoolingSolution, HeatOfAHeldLoopFollowsItsTemperatureExactly) {
  Case problem = two_cores(0.0, 0.0);
  const auto heat_at = [&problem](double temperature) {
    problem.loops[0].held_temperature = temperature;
    return converged(problem);
  };
  const double slope = (heat_at(360.5).loops[0].heat - heat_at(359.5).loops[0].heat) / 1.0;
  const Parameter held = heat_at(360.0).gradient("coolant.heat").back();
  ASSERT_TRUE(held.owner == Parameter::Owner::loop && held.key == 1);
  EXPECT_NEAR(held.derivative, slope, 1e-5 * slope);
}

TEST(CoolingSolution, HeldLoopWithoutAirGivesNoHeat) {
  Builder builder = rig(0.0);
  builder.add("radiator", "core", "face", "room", radiator_face);
  Case problem = case_of(builder.network());
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 50e3}, {"radiator"});
  problem.loops[0].held_temperature = 370.0;
  EXPECT_NEAR(converged(problem).loops[0].heat, 0.0, 1.0);
}

// Rig air is at 300 K. The reader of models refuses such a loop; a host may still set one up.
TEST(CoolingSolution, LoopWithoutCoreIsAsWarmAsTheAirAndGivesNothing) {
  Case problem = two_cores(0.0, 0.0);
  cool(problem, {"spare", plain_liquid(3630.0), 1.0, 0.0}, {});
  EXPECT_NEAR(converged(problem).loops[1].temperature, 300.0, 1e-9);
  problem.loops[1].held_temperature = 350.0;
  EXPECT_NEAR(converged(problem).loops[1].heat, 0.0, 1e-9);
}

TEST(CoolingSolution, CoreWithoutLoopLeavesTheAirAsItCame) {
  Builder builder = rig(300.0);
  builder.fixed("oven", 300.0, 350.0);
  builder.add("cold", "core", "oven", "behind", radiator_face);
  builder.add("out", "loss", "behind", "room", {{"area", 0.1}, {"loss", 1.0}});
  const Solution solution = converged(case_of(builder.network()));
  EXPECT_NEAR(value(solution, "behind.temperature"), 350.0, 1e-8);
  EXPECT_EQ(solution.value("cold.heat"), std::nullopt);
}

TEST(CoolingSolution, ReversedAirIsHeatedOnItsWayBack) {
  Builder builder = rig(-400.0);
  builder.add("radiator", "core", "a", "room", radiator_face)
      .add("duct", "loss", "face", "a", {{"area", 0.1}, {"loss", 1.0}});
  Case problem = case_of(builder.network());
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 50e3}, {"radiator"});
  const Solution solution = converged(problem);
  const double flow = value(solution, "radiator.flow");
  ASSERT_LT(flow, 0.0);
  const double rise = value(solution, "a.temperature") - 300.0;
  EXPECT_NEAR(-flow * problem.network.outside.air.heat_capacity * rise, 50e3, 1e-8 * 50e3);
}

TEST(CoolingSolution, NamesElementsWithoutALossBetweenHeldPressures) {
  Builder builder = rig(300.0);
  builder.fixed("oven", 200.0);
  builder.add("guard", "screen", "oven", "room", {{"area", 0.1}, {"open_fraction", 1.0}});
  const Solution solution = solve(case_of(builder.network()));
  EXPECT_FALSE(solution.converged);
  EXPECT_EQ(solution.ending, Ending::undetermined_flow);
  EXPECT_NE(solution.explanation.find("guard has no loss between"), std::string::npos)
      << solution.explanation;
}

/// A core that nothing heats stands between air of 350 K and of 300 K, with next to no flow either way: what
/// leaves it is what comes, also where the flow turns round on the way to the solution.
TEST(CoolingSolution, UnheatedCoreLetsTheFlowTurnRound) {
  for (const double pressure : {-3.0, -1e-3, 0.0, 1e-3, 3.0}) {
    Builder builder = rig(300.0);
    builder.fixed("oven", pressure, 350.0);
    builder.add("cold", "core", "oven", "behind", radiator_face);
    builder.add("out", "loss", "behind", "room", {{"area", 0.1}, {"loss", 1.0}});
    const Solution solution = converged(case_of(builder.network()));
    EXPECT_TRUE(solution.certificate.met()) << solution.certificate.words();
    const double flow = value(solution, "cold.flow");
    constexpr double still = 1e-12;  // kg/s: what rounding may leave of no flow
    if (pressure == 0.0) {
      EXPECT_NEAR(flow, 0.0, still);
      continue;
    }
    EXPECT_EQ(flow > 0.0, pressure > 0.0);
    EXPECT_NEAR(value(solution, "behind.temperature"), flow > 0.0 ? 350.0 : 300.0, 1e-8);
  }
}

TEST(CoolingSolution, IsBornInvalid) {
  const Solution empty;
  EXPECT_FALSE(empty.converged);
  EXPECT_EQ(empty.value("radiator.flow"), std::nullopt);
  EXPECT_TRUE(empty.gradient("radiator.flow").empty());
}

}  // namespace
}  // namespace corefeed::cooling
