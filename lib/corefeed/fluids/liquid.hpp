// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <string_view>

#include "corefeed/fluids/source.hpp"
#include "corefeed/result.hpp"

/// Liquids of cooling loops: constant properties, water, water-glycol, oil. SI units, temperatures in K.
namespace corefeed::fluids {

struct OilPoint;

/// A liquid by its kind and the few numbers that define it; properties are smooth functions of temperature
/// that go on a little beyond their range and stay at their bound from there. Plain data: copy freely. Made
/// by the functions below, which check their input.
class Liquid {
 public:
  enum class Kind { constant, water, water_glycol, oil };

  Kind kind() const { return kind_; }
  std::string_view name() const;  ///< "constant", "water", "water_glycol", "oil"

  /// kg/m3. A constant liquid without the property gives NaN: ask `has_transport()` first.
  template <class S>
  S density(const S& temperature) const;
  /// J/(kg K); always known.
  template <class S>
  S heat_capacity(const S& temperature) const;
  /// J/kg above the liquid at 60 degC: the integral of `heat_capacity`.
  template <class S>
  S enthalpy(const S& temperature) const;
  /// Pa s.
  template <class S>
  S viscosity(const S& temperature) const;
  /// W/(m K).
  template <class S>
  S conductivity(const S& temperature) const;
  /// Vapor pressure, Pa absolute; 0 for oil, NaN for a constant liquid and beyond the critical point.
  double vapor_pressure(double temperature) const;
  /// Its derivative by temperature, Pa/K.
  double vapor_pressure_slope(double temperature) const;
  /// Temperature, K, at which the liquid boils under this absolute pressure; NaN where unknown (constant
  /// liquids, oil).
  double boiling_temperature(double pressure) const;

  /// Whether density, viscosity and conductivity are known (always, but for a constant liquid given in part).
  bool has_transport() const;
  /// Lowest and highest temperature, K, at which the properties hold; 0 and infinity for a constant liquid.
  /// A mixture ends at its freezing point, an oil where it thins to 2 mm2/s.
  double lowest_temperature() const;
  double highest_temperature() const;
  const Source& source() const;

 private:
  friend Result<Liquid> constant_liquid(double, double, double, double);
  friend Liquid water();
  friend Result<Liquid> water_glycol(double);
  friend Result<Liquid> oil(const OilPoint&, const OilPoint&, double);

  /// Where the fits are asked beyond what they are good for, the nearest temperature that they bear.
  template <class S>
  S held_temperature(const S& temperature) const;
  template <class S>
  S enthalpy_inside(const S& temperature) const;

  // Places in `numbers_`: constant values, or for oil the values at 0 degC (density: 15 degC) and slopes.
  static constexpr int heat_capacity_at = 0;
  static constexpr int density_at = 1;
  static constexpr int viscosity_at = 2;
  static constexpr int conductivity_at = 3;
  static constexpr int heat_capacity_slope_at = 4;
  static constexpr int conductivity_slope_at = 5;
  static constexpr int d341_a_at = 6;
  static constexpr int d341_b_at = 7;
  static constexpr int share_at = 0;
  static constexpr double enthalpy_zero = 333.15;  // K

  Kind kind_ = Kind::constant;
  double numbers_[8] = {};
};

/// Constant properties; heat_capacity is required, the others may be NaN (unknown).
Result<Liquid> constant_liquid(double heat_capacity, double density, double viscosity, double conductivity);
/// Pure water, 273 to 423 K.
Liquid water();
/// Ethylene glycol in water, `glycol_share` by volume 0..0.6, up to 393 K. A share of 0 is water.
Result<Liquid> water_glycol(double glycol_share);
/// Oil by ASTM D341 through two kinematic viscosities (m2/s) at two temperatures (K); density in kg/m3 at
/// 15 degC (NaN: 870); heat capacity and conductivity of common mineral oils.
Result<Liquid> oil(double viscosity_a, double temperature_a, double viscosity_b, double temperature_b,
                   double density_15);

/// One temperature of an oil's data sheet; NaN where the sheet is silent.
struct OilPoint {
  double temperature = 0;                                           ///< K
  double viscosity = 0;                                             ///< kinematic, m2/s; required
  double heat_capacity = std::numeric_limits<double>::quiet_NaN();  ///< J/(kg K)
  double conductivity = std::numeric_limits<double>::quiet_NaN();   ///< W/(m K)
};
/// The same with the sheet's own heat capacity and conductivity: a straight line through both points, or the
/// common slope through one.
Result<Liquid> oil(const OilPoint& a, const OilPoint& b, double density_15);

}  // namespace corefeed::fluids

#include "corefeed/fluids/liquid_impl.hpp"
