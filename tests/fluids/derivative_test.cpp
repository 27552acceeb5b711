// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Core>
#include <cmath>
#include <string>
#include <unsupported/Eigen/AutoDiff>
#include <vector>

#include "corefeed/fluids/air.hpp"
#include "corefeed/fluids/liquid.hpp"

namespace corefeed::fluids {
namespace {

using Dual = Eigen::AutoDiffScalar<Eigen::Vector2d>;

/// Central difference; with steps of 1e-3 K its own error is about 1e-9 of the value per kelvin.
template <class Property>
void expect_exact_derivative(const Property& property, double temperature, const std::string& name) {
  const double step = 1e-3;
  const double expected = (property(temperature + step) - property(temperature - step)) / (2 * step);
  const Dual dual = property(Dual(temperature, 2, 0));
  const double value = property(temperature);
  EXPECT_DOUBLE_EQ(dual.value(), value) << name;
  if (dual.derivatives().size() == 0) return;
  EXPECT_NEAR(dual.derivatives()[0], expected, 1e-8 * std::abs(value) + 1e-6 * std::abs(expected)) << name;
  EXPECT_EQ(dual.derivatives()[1], 0) << name;
}

TEST(Derivative, OfAirIsThatOfItsLaws) {
  const Air air = humid_air(303.15, 1e5, 0.4);
  for (const double temperature : {250.0, 303.15, 390.0}) {
    expect_exact_derivative([&](const auto& t) { return air.viscosity(t); }, temperature, "viscosity");
    expect_exact_derivative([&](const auto& t) { return air.conductivity(t); }, temperature, "conductivity");
  }
  const Dual pressure(1e5, 2, 0);
  const Dual temperature(300, 2, 1);
  const Dual density = air.density(pressure, temperature);
  EXPECT_DOUBLE_EQ(density.value(), air.density(1e5, 300.0));
  EXPECT_DOUBLE_EQ(density.derivatives()[0], density.value() / 1e5);
  EXPECT_DOUBLE_EQ(density.derivatives()[1], -density.value() / 300);
}

TEST(Derivative, OfEveryLiquidIsThatOfItsLaws) {
  const std::vector<Liquid> liquids{constant_liquid(3500, 1040, 1e-3, 0.4).value(), water(),
                                    water_glycol(0.5).value(),
                                    oil(85e-6, 313.15, 14e-6, 373.15, 870).value()};
  for (const Liquid& liquid : liquids) {
    for (const double temperature : {285.0, 330.0, 390.0}) {
      const std::string name(liquid.name());
      expect_exact_derivative([&](const auto& t) { return liquid.density(t); }, temperature,
                              name + " density");
      expect_exact_derivative([&](const auto& t) { return liquid.heat_capacity(t); }, temperature,
                              name + " heat capacity");
      expect_exact_derivative([&](const auto& t) { return liquid.viscosity(t); }, temperature,
                              name + " viscosity");
      expect_exact_derivative([&](const auto& t) { return liquid.conductivity(t); }, temperature,
                              name + " conductivity");
    }
  }
}

}  // namespace
}  // namespace corefeed::fluids
