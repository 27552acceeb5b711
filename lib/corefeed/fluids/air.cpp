// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/air.hpp"

#include <cassert>
#include <cmath>

namespace corefeed::fluids {
namespace {

constexpr double dry_gas_constant = 287.055;    // J/(kg K), dry air of today's carbon dioxide
constexpr double vapor_gas_constant = 461.523;  // J/(kg K)
constexpr double dry_heat_capacity = 1006;      // J/(kg K), near 300 K
constexpr double vapor_heat_capacity = 1860;    // J/(kg K), near 300 K
constexpr double mass_ratio = 0.621945;         // molar mass of water over that of dry air

}  // namespace

double saturation_pressure(double temperature) {
  // Buck 1981, J. Appl. Meteorology 20, 1527, with the coefficients of his 1996 revision; from memory.
  const double celsius = temperature - 273.15;
  return 611.21 * std::exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius));
}

Air humid_air(double temperature, double pressure, double relative_humidity) {
  assert(temperature > 0 && pressure > 0 && relative_humidity >= 0 && relative_humidity <= 1);
  const double vapor = relative_humidity * saturation_pressure(temperature);
  assert(vapor < pressure);
  Air air;
  air.humidity_ratio = mass_ratio * vapor / (pressure - vapor);
  const double vapor_share = air.humidity_ratio / (1 + air.humidity_ratio);
  air.gas_constant = dry_gas_constant * (1 - vapor_share) + vapor_gas_constant * vapor_share;
  air.heat_capacity = dry_heat_capacity * (1 - vapor_share) + vapor_heat_capacity * vapor_share;
  return air;
}

const Source& air_source() {
  static constexpr Source source{
      "ideal mixture of dry air and vapor, saturation by Buck 1981 (revised 1996); viscosity and "
      "conductivity "
      "by the U.S. Standard Atmosphere 1976",
      "233 to 400 K, up to 2 bar; density within 0.2 %, viscosity and conductivity within 1 %", 0.002,
      Tag::from_memory};
  return source;
}

}  // namespace corefeed::fluids
