// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/fluids/source.hpp"

/// Humid air as an ideal mixture: constant gas constant and heat capacity for one ambient state, Sutherland
/// viscosity, conductivity of dry air. Values in SI units.
namespace corefeed::fluids {

/// Air of one ambient state. Mixing ratio and with it R and cp stay constant along the car's ducts (no
/// spray).
struct Air {
  double gas_constant = 0;    ///< R, J/(kg K)
  double heat_capacity = 0;   ///< cp, J/(kg K)
  double humidity_ratio = 0;  ///< kg of vapor per kg of dry air

  /// Dynamic viscosity, Pa s, at temperature T in K (Sutherland); any scalar type.
  template <class S>
  S viscosity(const S& temperature) const;
  /// Thermal conductivity, W/(m K), by the U.S. Standard Atmosphere 1976; the Prandtl number stays near 0.71.
  template <class S>
  S conductivity(const S& temperature) const;
  /// Density, kg/m3, at absolute static pressure in Pa and static temperature in K.
  template <class S>
  S density(const S& pressure, const S& temperature) const;
};

/// Saturation pressure of water vapor over water, Pa; temperature in K, 233 to 333 K.
double saturation_pressure(double temperature);

/// Air at an ambient state. temperature K, pressure Pa absolute, relative humidity 0..1. The caller has
/// checked the ranges (assertion: positive, humidity within 0..1, vapor pressure below pressure).
Air humid_air(double temperature, double pressure, double relative_humidity);

/// Sources and bands of what this header computes, for docs and results.
const Source& air_source();

}  // namespace corefeed::fluids

#include "corefeed/fluids/air_impl.hpp"
