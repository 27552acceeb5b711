// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/surroundings.hpp"
#include "tests/losses/law_fixture.hpp"

/// Air for sums that books do with a constant density.
namespace corefeed::published {

/// Air of this density and 300 K that nothing squeezes: 1e12 Pa of ambient pressure and a gas constant to
/// match. A kilopascal moves the density by 1e-9.
inline losses::Surroundings incompressible_air(double density, double speed = 0.0) {
  constexpr double pressure = 1e12;
  constexpr double temperature = 300.0;
  const double constant = pressure / (density * temperature);
  return losses::surroundings_of({.gas_constant = constant, .heat_capacity = 3.5 * constant}, pressure,
                                 temperature, speed, 0.0);
}

/// A law that is called with such air all around.
inline testing::LawCase incompressible(std::string_view kind, double density, double speed = 0.0) {
  testing::LawCase law(kind);
  law.outside = incompressible_air(density, speed);
  law.state.temperature_from = law.state.temperature_to = law.state.temperature_out = 300.0;
  return law;
}

}  // namespace corefeed::published
