// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "corefeed/fluids/liquid.hpp"

namespace corefeed::fluids {
namespace {

Liquid mixture(double share) { return water_glycol(share).value(); }

struct Row {
  double share, celsius, density, heat_capacity, conductivity, viscosity;
};

// ASHRAE Handbook Fundamentals (2001), Physical Properties of Secondary Coolants, ethylene glycol tables,
// read in a public reproduction. Tolerances: the largest departure of the fits over the whole table, rounded
// up.
constexpr Row table[] = {
    {0.1, 0, 1018.73, 3937, 0.511, 2.08e-3},    {0.1, 50, 1001.61, 4024, 0.583, 0.67e-3},
    {0.1, 100, 972.32, 4112, 0.613, 0.35e-3},   {0.2, 20, 1029.72, 3815, 0.497, 1.65e-3},
    {0.2, 90, 993.59, 3976, 0.553, 0.49e-3},    {0.3, -10, 1054.31, 3560, 0.415, 6.19e-3},
    {0.3, 40, 1036.78, 3702, 0.473, 1.34e-3},   {0.3, 100, 999.69, 3872, 0.504, 0.49e-3},
    {0.4, -20, 1071.98, 3334, 0.371, 15.75e-3}, {0.4, 60, 1039.61, 3602, 0.444, 1.17e-3},
    {0.5, -20, 1086.87, 3126, 0.344, 22.07e-3}, {0.5, 30, 1068.75, 3319, 0.387, 2.94e-3},
    {0.5, 60, 1052.04, 3435, 0.404, 1.43e-3},   {0.5, 100, 1022.95, 3590, 0.416, 0.70e-3},
    {0.6, -20, 1101.06, 2909, 0.321, 34.28e-3}, {0.6, 10, 1090.70, 3040, 0.343, 7.85e-3},
    {0.6, 50, 1070.06, 3215, 0.365, 2.16e-3},   {0.6, 100, 1033.33, 3433, 0.379, 0.77e-3}};

TEST(WaterGlycol, ReproducesTheTable) {
  for (const Row& row : table) {
    const Liquid liquid = mixture(row.share);
    const double temperature = row.celsius + 273.15;
    SCOPED_TRACE(testing::Message() << row.share << " at " << row.celsius << " degC");
    EXPECT_NEAR(liquid.density(temperature) / row.density, 1, 0.002);
    EXPECT_NEAR(liquid.heat_capacity(temperature) / row.heat_capacity, 1, 0.008);
    EXPECT_NEAR(liquid.conductivity(temperature) / row.conductivity, 1, 0.009);
    EXPECT_NEAR(liquid.viscosity(temperature) / row.viscosity, 1, 0.036);
  }
}

TEST(WaterGlycol, WithoutGlycolIsWaterToTheBit) {
  const Liquid none = mixture(0);
  const Liquid pure = water();
  for (double temperature = 273.15; temperature < 393; temperature += 12.5) {
    EXPECT_EQ(none.density(temperature), pure.density(temperature));
    EXPECT_EQ(none.heat_capacity(temperature), pure.heat_capacity(temperature));
    EXPECT_EQ(none.viscosity(temperature), pure.viscosity(temperature));
    EXPECT_EQ(none.conductivity(temperature), pure.conductivity(temperature));
  }
  EXPECT_EQ(none.lowest_temperature(), pure.lowest_temperature());
  EXPECT_EQ(none.boiling_temperature(2e5), pure.boiling_temperature(2e5));
}

// More glycol: denser, thicker, less heat capacity and conductivity, boils later, freezes later; warmer:
// thinner. A fit that wiggles between the table's columns would break this.
TEST(WaterGlycol, ChangesOneWayWithShareAndTemperature) {
  for (int percent = 0; percent < 60; percent += 2) {
    const double share = percent / 100.0;
    const Liquid less = mixture(share);
    const Liquid more = mixture((percent + 2) / 100.0);
    const double start = std::max(less.lowest_temperature(), more.lowest_temperature());
    for (double temperature = start; temperature <= 393.15; temperature += 2.5) {
      SCOPED_TRACE(testing::Message() << share << " at " << temperature << " K");
      ASSERT_GT(more.density(temperature), less.density(temperature));
      ASSERT_GT(more.viscosity(temperature), less.viscosity(temperature));
      ASSERT_LT(more.heat_capacity(temperature), less.heat_capacity(temperature));
      ASSERT_LT(more.conductivity(temperature), less.conductivity(temperature));
      ASSERT_LT(less.viscosity(temperature + 2.5), less.viscosity(temperature));
    }
    EXPECT_GT(more.boiling_temperature(2e5), less.boiling_temperature(2e5));
    EXPECT_LE(more.lowest_temperature(), less.lowest_temperature());
  }
}

// Water mole fraction 0.756 at 50 % by volume; saturated water reaches 101325/0.756 Pa at 108 degC.
TEST(WaterGlycol, BoilsByTheShareOfItsWater) {
  const Liquid half = mixture(0.5);
  EXPECT_NEAR(half.vapor_pressure(373.124) / 101325, 0.756, 0.001);
  EXPECT_NEAR(half.boiling_temperature(101325) - 273.15, 108.0, 0.2);
  // Ethylene glycol, 50 % by volume, boils at about 107 degC at sea level: makers' data, from memory.
  EXPECT_NEAR(half.boiling_temperature(101325) - 273.15, 107, 1.5);
}

// Freezing: the same handbook, -37 degC at 50 %, -14 at 27.7 %, -3.2 at 8.9 %; the range ends at -20 degC.
TEST(WaterGlycol, RangeEndsAtFreezing) {
  EXPECT_NEAR(mixture(0.277).lowest_temperature() - 273.15, -14.1, 0.4);
  EXPECT_NEAR(mixture(0.089).lowest_temperature() - 273.15, -3.2, 0.4);
  EXPECT_EQ(mixture(0.5).lowest_temperature(), 253.15);
  EXPECT_EQ(mixture(0.5).highest_temperature(), 393.15);
}

TEST(WaterGlycol, RefusesSharesBeyondTheTable) {
  for (const double share : {-0.1, 0.61, 50.0, std::nan("")}) {
    const Result<Liquid> liquid = water_glycol(share);
    ASSERT_FALSE(liquid.ok()) << share;
    EXPECT_EQ(liquid.issues()[0].code, "out_of_range");
  }
  EXPECT_EQ(water_glycol(50).issues()[0].text,
            "the share of glycol is 50, expected a share by volume from 0 to 0.6");
}

TEST(ConstantLiquid, KeepsWhatItIsGivenAndChecksIt) {
  const Liquid liquid = constant_liquid(3500, 1040, 1e-3, 0.4).value();
  EXPECT_EQ(liquid.density(300.0), 1040);
  EXPECT_EQ(liquid.heat_capacity(350.0), 3500);
  EXPECT_EQ(liquid.viscosity(300.0), 1e-3);
  EXPECT_EQ(liquid.conductivity(300.0), 0.4);
  EXPECT_TRUE(liquid.has_transport());
  EXPECT_TRUE(std::isnan(liquid.boiling_temperature(1e5)));
  EXPECT_TRUE(std::isnan(liquid.vapor_pressure(300)));
  EXPECT_EQ(liquid.name(), "constant");
  EXPECT_FALSE(constant_liquid(3500, std::nan(""), 1e-3, 0.4).value().has_transport());
  EXPECT_FALSE(constant_liquid(3500, 1040, std::nan(""), 0.4).value().has_transport());
  EXPECT_FALSE(constant_liquid(3500, 1040, 1e-3, std::nan("")).value().has_transport());
  EXPECT_FALSE(constant_liquid(std::nan(""), 1040, 1e-3, 0.4).ok());
  EXPECT_FALSE(constant_liquid(0, 1040, 1e-3, 0.4).ok());
  ASSERT_FALSE(constant_liquid(-1, -1, -1, -1).ok());
  EXPECT_EQ(constant_liquid(-1, -1, -1, -1).issues().size(), 4u);
}

TEST(Sources, EveryLiquidNamesItsOwn) {
  for (const Liquid& liquid : {constant_liquid(3500, 1040, 1e-3, 0.4).value(), water(), mixture(0.5),
                               oil(85e-6, 313.15, 14e-6, 373.15, 870).value()}) {
    EXPECT_FALSE(liquid.source().reference.empty()) << liquid.name();
    EXPECT_FALSE(liquid.source().range.empty()) << liquid.name();
  }
}

}  // namespace
}  // namespace corefeed::fluids
