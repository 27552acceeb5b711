// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/air.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "corefeed/fluids/water_saturation.hpp"

namespace corefeed::fluids {
namespace {

// Worked by hand from the mixture formulas, to the digits shown.
TEST(HumidAir, HotDayOfAWorkedExample) {
  const Air air = humid_air(303.15, 1e5, 0.40);
  EXPECT_NEAR(air.humidity_ratio, 0.010743, 5e-7);
  EXPECT_NEAR(air.gas_constant, 288.909, 5e-4);
  EXPECT_NEAR(air.heat_capacity, 1015.08, 5e-3);
  EXPECT_NEAR(air.density(1e5, 303.15), 1.141775, 5e-7);
}

TEST(HumidAir, DryAirHasTheConstantsOfDryAir) {
  const Air air = humid_air(288.15, 101325, 0);
  EXPECT_EQ(air.humidity_ratio, 0);
  EXPECT_EQ(air.gas_constant, 287.055);
  EXPECT_EQ(air.heat_capacity, 1006);
}

TEST(HumidAir, MoistureMakesAirLighterAndItsHeatCapacityLarger) {
  Air drier = humid_air(303.15, 95e3, 0);
  for (double humidity = 0.1; humidity < 1.05; humidity += 0.1) {
    const Air air = humid_air(303.15, 95e3, std::min(humidity, 1.0));
    EXPECT_LT(air.density(95e3, 303.15), drier.density(95e3, 303.15));
    EXPECT_GT(air.heat_capacity, drier.heat_capacity);
    drier = air;
  }
}

TEST(HumidAir, DensityFollowsTheGasLaw) {
  const Air air = humid_air(293.15, 1e5, 0.5);
  EXPECT_DOUBLE_EQ(air.density(2e5, 300.0), 2 * air.density(1e5, 300.0));
  EXPECT_DOUBLE_EQ(air.density(1e5, 600.0), air.density(1e5, 300.0) / 2);
}

// Buck's fit against IAPWS-IF97 region 4, a law of other form: 0.1 % from freezing to 60 degC (Buck states
// 0.05 % to 50 degC without the enhancement factor).
TEST(SaturationPressure, AgreesWithAnIndependentEquation) {
  for (double temperature = 273.15; temperature <= 333.15; temperature += 2.5) {
    const double reference = water_saturation_pressure(temperature);
    EXPECT_NEAR(saturation_pressure(temperature), reference, 1e-3 * reference) << temperature;
  }
  // Goff-Gratch over supercooled water, Smithsonian tables: 1.2540 hPa at -20 degC; from memory.
  EXPECT_NEAR(saturation_pressure(253.15), 125.40, 0.005 * 125.40);
}

// Prandtl numbers of air: Incropera et al., Fundamentals of Heat and Mass Transfer, table A.4, from memory.
// Both laws are good to 1 %, and the constant heat capacity is 0.8 % low at 400 K.
TEST(HumidAir, PrandtlNumberIsThatOfAir) {
  const Air air = humid_air(288.15, 101325, 0);
  for (const auto& [temperature, expected] :
       {std::pair{250.0, 0.720}, {300.0, 0.707}, {350.0, 0.700}, {400.0, 0.690}}) {
    const double prandtl = air.viscosity(temperature) * air.heat_capacity / air.conductivity(temperature);
    EXPECT_NEAR(prandtl, expected, 0.02 * expected) << temperature;
  }
}

TEST(HumidAir, NamesItsSource) {
  EXPECT_FALSE(air_source().reference.empty());
  EXPECT_GT(air_source().band, 0);
}

}  // namespace
}  // namespace corefeed::fluids
