// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

// Bodies of air.hpp. Any scalar with ADL sqrt and exp serves; every step is stored as S because dual numbers
// give expressions of other types.
namespace corefeed::fluids {

template <class S>
S Air::viscosity(const S& temperature) const {
  using std::sqrt;
  // Sutherland's law with the constants of the U.S. Standard Atmosphere 1976, rounded to 1.716e-5 at 0 degC.
  const S ratio = temperature / 273.15;
  const S root = sqrt(ratio);
  const S power = ratio * root;
  const S below = temperature + 110.4;
  const S result = (1.716e-5 * 383.55) * power / below;
  return result;
}

template <class S>
S Air::conductivity(const S& temperature) const {
  using std::exp;
  using std::sqrt;
  constexpr double ln_10 = 2.302585092994045684;
  // U.S. Standard Atmosphere 1976, equation 53: 2.64638e-3 T^1.5 / (T + 245.4 * 10^(-12/T)).
  const S exponent = (-12.0 * ln_10) / temperature;
  const S decay = exp(exponent);
  const S root = sqrt(temperature);
  const S power = temperature * root;
  const S below = temperature + 245.4 * decay;
  const S result = 2.64638e-3 * power / below;
  return result;
}

template <class S>
S Air::density(const S& pressure, const S& temperature) const {
  const S below = gas_constant * temperature;
  const S result = pressure / below;
  return result;
}

}  // namespace corefeed::fluids
