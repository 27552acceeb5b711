// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/core_heat.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "corefeed/losses/surroundings.hpp"

namespace corefeed::cooling {
namespace {

/// A core of a race-car radiator between two states of the air, as plain numbers.
class Radiator {
 public:
  Radiator() {
    const losses::Kind& kind = *losses::find_kind("core");
    for (const losses::Key& key : kind.keys) numbers.push_back(key.standard);
    set("face_area", 0.150);
    set("air_loss.linear", 24.0);
    set("air_loss.quadratic", 6.0);
    set("air_conductance.value", 3600.0);
    set("air_conductance.flow", 1.20);
    set("air_conductance.exponent", 0.45);
    set("liquid_conductance.value", 9000.0);
    set("liquid_conductance.flow", 2.0);
    set("liquid_conductance.exponent", 0.8);
  }

  void set(std::string_view key, double number) {
    const std::size_t place = losses::find_key(*losses::find_kind("core"), key);
    ASSERT_NE(place, losses::npos) << key;
    numbers[place] = number;
    given |= std::uint64_t{1} << place;
  }

  losses::Input<double> air(double flow) const {
    losses::Input<double> in;
    in.mass_flow = flow;
    in.pressure_from = 1342.475;
    in.pressure_to = 715.330;
    in.temperature_from = 304.381;
    in.temperature_to = 355.245;
    in.temperature_out = 355.245;
    in.value = numbers.data();
    in.given = given;
    in.outside = &outside;
    return in;
  }

  std::vector<double> numbers;
  std::uint64_t given = 0;
  losses::Surroundings outside =
      losses::surroundings_of(fluids::humid_air(303.15, 1e5, 0.40), 1e5, 303.15, 50.0, 0.0);
};

constexpr double hot = 366.981;
constexpr double coolant_capacity = 3630.0;

// A conductance that falls as fast as the flow gives a finite NTU at rest, and air that turns round would
// leave 2 K colder from the one side than from the other but for what is left in air that crawls.
TEST(CoreHeat, LeavingTemperatureDoesNotJumpWhereTheFlowTurnsRound) {
  for (const double exponent : {0.45, 1.0}) {
    Radiator radiator;
    radiator.set("air_conductance.exponent", exponent);
    const auto leaving = [&](double flow) {
      return core_heat<double>(radiator.air(flow), hot, 2.0, coolant_capacity).temperature_out;
    };
    for (const double flow : {-1e-12, 0.0, 1e-12}) EXPECT_NEAR(leaving(flow), hot, 1e-3) << exponent;
  }
}

// An invented track car at 50 m/s, solved by two programs written independently of this one; the figures are
// given to the digits they were printed with.
TEST(CoreHeat, AgreesWithAnIndependentCalculation) {
  const Radiator radiator;
  const CoreHeat<double> heat = core_heat<double>(radiator.air(1.317063), hot, 2.0, coolant_capacity);
  EXPECT_NEAR(heat.conductance, 2649.05, 0.01);
  EXPECT_NEAR(heat.ntu, 1.98146, 1e-5);
  EXPECT_NEAR(heat.capacity_ratio, 0.18415, 1e-5);
  EXPECT_NEAR(heat.effectiveness, 0.812516, 1e-6);
  EXPECT_NEAR(heat.temperature_out, 82.095 + 273.15, 2e-3);
  // 68 kW over an inlet difference of 62.600 K known to half a millikelvin: 0.5 W.
  EXPECT_NEAR(heat.heat, 68000.0, 1.5);
}

TEST(CoreHeat, AirTakesWhatTheLiquidGives) {
  const Radiator radiator;
  for (const double flow : {0.05, 0.6, 1.3, 12.0, -0.8}) {
    const losses::Input<double> in = radiator.air(flow);
    const CoreHeat<double> heat = core_heat<double>(in, hot, 2.0, coolant_capacity);
    const double cold = flow > 0.0 ? in.temperature_from : in.temperature_to;
    const double taken = std::abs(flow) * radiator.outside.air.heat_capacity * (heat.temperature_out - cold);
    EXPECT_NEAR(heat.heat, taken, 1e-9 * heat.heat) << flow;
    EXPECT_LT(heat.temperature_out, hot) << flow;
    EXPECT_GT(heat.temperature_out, cold) << flow;
  }
}

TEST(CoreHeat, ResistancesAddAtTheirOwnFlows) {
  Radiator radiator;
  radiator.set("air_conductance.exponent", 0.5);
  radiator.set("liquid_conductance.exponent", 1.0);
  const CoreHeat<double> heat = core_heat<double>(radiator.air(4.0 * 1.2), hot, 4.0, coolant_capacity);
  // Four times the air flow doubles 3600 W/K, twice the liquid flow doubles 9000 W/K.
  EXPECT_NEAR(heat.conductance, 1.0 / (1.0 / 7200.0 + 1.0 / 18000.0), 1e-9);
  radiator.set("heat_transfer", 0.9);
  const CoreHeat<double> fitted = core_heat<double>(radiator.air(4.0 * 1.2), hot, 4.0, coolant_capacity);
  EXPECT_NEAR(fitted.conductance, 0.9 * heat.conductance, 1e-9);
}

TEST(CoreHeat, SmallerCapacityMayBeEitherFluid) {
  const Radiator radiator;
  const CoreHeat<double> much_air = core_heat<double>(radiator.air(12.0), hot, 2.0, coolant_capacity);
  EXPECT_NEAR(much_air.capacity_ratio, 2.0 * coolant_capacity / (12.0 * radiator.outside.air.heat_capacity),
              1e-12);
  EXPECT_NEAR(much_air.ntu, much_air.conductance / (2.0 * coolant_capacity), 1e-12);
  // Continuous where the two change places.
  const double even = 2.0 * coolant_capacity / radiator.outside.air.heat_capacity;
  const double below = core_heat<double>(radiator.air(even * (1.0 - 1e-9)), hot, 2.0, coolant_capacity).heat;
  const double above = core_heat<double>(radiator.air(even * (1.0 + 1e-9)), hot, 2.0, coolant_capacity).heat;
  EXPECT_NEAR(below, above, 1e-7 * above);
}

TEST(CoreHeat, StillAirCarriesNothingAndStaysFinite) {
  const Radiator radiator;
  const CoreHeat<double> heat = core_heat<double>(radiator.air(0.0), hot, 2.0, coolant_capacity);
  EXPECT_GE(heat.heat, 0.0);
  // 1e-9 kg/s stands for rest: 1e-6 W/K over 63 K.
  EXPECT_LT(heat.heat, 1e-4);
  EXPECT_NEAR(heat.temperature_out, hot, 1e-6);
}

TEST(CoreHeat, UnevenFaceCoolsLess) {
  Radiator radiator;
  const CoreHeat<double> even = core_heat<double>(radiator.air(1.3), hot, 2.0, coolant_capacity);
  radiator.set("face_maldistribution", 0.4);
  const CoreHeat<double> uneven = core_heat<double>(radiator.air(1.3), hot, 2.0, coolant_capacity);
  // 1 - (0.5 (1 - eps) + 0.1) g^2, closure of ours.
  const double share = 1.0 - (0.5 * (1.0 - even.effectiveness) + 0.1) * 0.16;
  EXPECT_NEAR(uneven.effectiveness, even.effectiveness * share, 1e-12);
  radiator.set("face_maldistribution", 0.0);
  EXPECT_EQ(core_heat<double>(radiator.air(1.3), hot, 2.0, coolant_capacity).effectiveness,
            even.effectiveness);
}

TEST(CoreHeat, NoHeatBetweenEqualTemperatures) {
  const Radiator radiator;
  const CoreHeat<double> heat = core_heat<double>(radiator.air(1.3), 304.381, 2.0, coolant_capacity);
  EXPECT_EQ(heat.heat, 0.0);
  EXPECT_EQ(heat.temperature_out, 304.381);
}

}  // namespace
}  // namespace corefeed::cooling
