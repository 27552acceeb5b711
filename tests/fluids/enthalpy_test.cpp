// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "corefeed/fluids/liquid.hpp"

/// Enthalpy is the integral of the heat capacity, and the slope of the vapor pressure its derivative.
namespace corefeed::fluids {
namespace {

/// Simpson's rule over many steps: exact to rounding for the polynomials behind the fits.
double integral_of_capacity(const Liquid& liquid, double from, double to) {
  constexpr int steps = 200;
  const double step = (to - from) / steps;
  double sum = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double a = from + i * step;
    sum += step / 6.0 *
           (liquid.heat_capacity(a) + 4.0 * liquid.heat_capacity(a + 0.5 * step) +
            liquid.heat_capacity(a + step));
  }
  return sum;
}

TEST(Enthalpy, IsTheIntegralOfTheHeatCapacity) {
  for (const Liquid& liquid :
       {water(), water_glycol(0.5).value(), oil(85e-6, 313.15, 14e-6, 373.15, 870.0).value(),
        constant_liquid(3500.0, 1000.0, 1e-3, 0.4).value()}) {
    const double rise = liquid.enthalpy(390.0) - liquid.enthalpy(290.0);
    EXPECT_NEAR(rise / integral_of_capacity(liquid, 290.0, 390.0), 1.0, 1e-9) << liquid.name();
  }
}

/// A loop that cannot give off its heat is looked for up to 2000 K, where no fit holds: the fluid there must
/// still be one, and its enthalpy the integral of its heat capacity.
TEST(Enthalpy, BeyondEveryFitTheLiquidIsStillOne) {
  for (const Liquid& liquid :
       {water(), water_glycol(0.5).value(), oil(85e-6, 313.15, 14e-6, 373.15, 870.0).value()}) {
    for (double temperature = 150.0; temperature <= 2100.0; temperature += 10.0) {
      EXPECT_GT(liquid.heat_capacity(temperature), 500.0) << liquid.name() << " at " << temperature;
      EXPECT_LT(liquid.heat_capacity(temperature), 6000.0) << liquid.name() << " at " << temperature;
      EXPECT_GT(liquid.density(temperature), 300.0) << liquid.name() << " at " << temperature;
      EXPECT_GT(liquid.viscosity(temperature), 0.0) << liquid.name() << " at " << temperature;
      EXPECT_GT(liquid.conductivity(temperature), 0.0) << liquid.name() << " at " << temperature;
    }
    const double rise = liquid.enthalpy(2000.0) - liquid.enthalpy(400.0);
    // Simpson's steps meet the bound's kink once: half a step of 8 K in 1600 K, of a slope that changes a
    // little.
    EXPECT_NEAR(rise / integral_of_capacity(liquid, 400.0, 2000.0), 1.0, 1e-5) << liquid.name();
  }
}

TEST(VaporPressure, HasTheSlopeOfItsDifferences) {
  for (const Liquid& liquid : {water(), water_glycol(0.5).value()}) {
    for (const double temperature : {280.0, 330.0, 373.15, 410.0}) {
      const double step = 0.01;
      const double difference =
          (liquid.vapor_pressure(temperature + step) - liquid.vapor_pressure(temperature - step)) /
          (2.0 * step);
      EXPECT_NEAR(liquid.vapor_pressure_slope(temperature) / difference, 1.0, 1e-7) << liquid.name();
    }
  }
  EXPECT_EQ(oil(85e-6, 313.15, 14e-6, 373.15, 870.0).value().vapor_pressure_slope(360.0), 0.0);
  EXPECT_TRUE(std::isnan(constant_liquid(3500.0, 1000.0, 1e-3, 0.4).value().vapor_pressure_slope(360.0)));
}

}  // namespace
}  // namespace corefeed::fluids
