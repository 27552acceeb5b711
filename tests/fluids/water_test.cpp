// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/fluids/water_saturation.hpp"
#include "tests/fluids/if97_region1.hpp"

namespace corefeed::fluids {
namespace {

// R7-97(2012), table 35 and table 36, printed to nine digits; from memory.
TEST(WaterSaturation, MeetsTheVerificationValuesOfTheRelease) {
  EXPECT_NEAR(water_saturation_pressure(300), 0.353658941e4, 5e-6);
  EXPECT_NEAR(water_saturation_pressure(500), 0.263889776e7, 5e-3);
  EXPECT_NEAR(water_saturation_pressure(600), 0.123443146e8, 5e-2);
  EXPECT_NEAR(water_saturation_temperature(0.1e6), 372.755919, 5e-7);
  EXPECT_NEAR(water_saturation_temperature(1e6), 453.035632, 5e-7);
  EXPECT_NEAR(water_saturation_temperature(10e6), 584.149488, 5e-7);
}

TEST(WaterSaturation, BothDirectionsAreInverse) {
  for (double temperature = 234; temperature < 647; temperature += 7) {
    EXPECT_NEAR(water_saturation_temperature(water_saturation_pressure(temperature)), temperature, 1e-7)
        << temperature;
  }
}

TEST(WaterSaturation, IsUnknownOutsideItsRange) {
  EXPECT_TRUE(std::isnan(water_saturation_pressure(700)));
  EXPECT_TRUE(std::isnan(water_saturation_pressure(100)));
  EXPECT_TRUE(std::isnan(water_saturation_pressure(std::nan(""))));
  EXPECT_TRUE(std::isnan(water_saturation_temperature(30e6)));
  EXPECT_TRUE(std::isnan(water_saturation_temperature(-1)));
}

// The bands stated beside the laws.
TEST(Water, DensityAndHeatCapacityAgreeWithTheReference) {
  const Liquid liquid = water();
  for (double temperature = 273.15; temperature <= 423.15; temperature += 2.5) {
    const double pressure = std::max(0.25e6, water_saturation_pressure(temperature));
    const reference::WaterState state = reference::if97_region1(temperature, pressure);
    EXPECT_NEAR(liquid.density(temperature) * state.volume, 1, 2e-4) << temperature;
    EXPECT_NEAR(liquid.heat_capacity(temperature) / state.heat_capacity, 1, 3e-4) << temperature;
  }
}

// IAPWS 2008 viscosity and 2011 conductivity of saturated water, recalled from the releases' tables and steam
// tables: 125 and 150 degC lie above the stated range of the short laws.
TEST(Water, TransportPropertiesHoldAboveTheirStatedRange) {
  const Liquid liquid = water();
  EXPECT_NEAR(liquid.viscosity(398.15), 222.0e-6, 0.01 * 222.0e-6);
  EXPECT_NEAR(liquid.viscosity(423.15), 182.5e-6, 0.01 * 182.5e-6);
  EXPECT_NEAR(liquid.conductivity(398.15), 0.683, 0.01 * 0.683);
  EXPECT_NEAR(liquid.conductivity(423.15), 0.682, 0.01 * 0.682);
}

TEST(Water, BoilsAtItsSaturationTemperature) {
  const Liquid liquid = water();
  EXPECT_NEAR(liquid.boiling_temperature(101325), 373.124, 1e-3);  // IAPWS-IF97, normal boiling point
  EXPECT_NEAR(liquid.vapor_pressure(liquid.boiling_temperature(240e3)), 240e3, 1e-3);
  EXPECT_EQ(liquid.name(), "water");
  EXPECT_TRUE(liquid.has_transport());
  EXPECT_EQ(liquid.lowest_temperature(), 273.15);
  EXPECT_EQ(liquid.highest_temperature(), 423.15);
}

}  // namespace
}  // namespace corefeed::fluids
