// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "corefeed/result.hpp"

/// Quantity strings such as "420 cm2", "24 Pa s/m" or "30 degC" to SI doubles and back. One closed table of
/// unit spellings gives the parser, the schema pattern, the docs and the terminal's engineer's units.
namespace corefeed::units {

/// What a number of the model means. Two kinds may share a dimension and still differ: a temperature level is
/// no difference, a gauge pressure is no absolute one.
enum class Quantity {
  number,                  ///< no dimension: a plain JSON number, never a string
  length,                  ///< m
  area,                    ///< m2
  volume,                  ///< m3
  angle,                   ///< rad
  time,                    ///< s
  speed,                   ///< m/s, of the car: shown in km/h
  velocity,                ///< m/s, of air in a duct: shown in m/s
  mass,                    ///< kg
  mass_flow,               ///< kg/s
  volume_flow,             ///< m3/s, of a liquid: shown in L/min
  air_flow,                ///< m3/s, volume flow of air: shown in m3/h
  pressure_gauge,          ///< Pa above ambient
  pressure_absolute,       ///< Pa
  pressure_difference,     ///< Pa
  temperature,             ///< K, a level; degC and degF carry their offset
  temperature_difference,  ///< K, a difference; "10 degC" is refused, "10 K" or "18 delta_degF" is right
  density,                 ///< kg/m3
  dynamic_viscosity,       ///< Pa s
  kinematic_viscosity,     ///< m2/s
  heat_capacity,           ///< J/(kg K)
  conductivity,            ///< W/(m K)
  conductance,             ///< W/K
  power,                   ///< W
  force,                   ///< N
  energy,                  ///< J
  shaft_speed,             ///< rad/s
  voltage,                 ///< V
  linear_loss,             ///< Pa s/m
  quadratic_loss,          ///< Pa s2/m2
  permeability,            ///< m2
  per_length,              ///< 1/m
  heat_capacity_total,     ///< J/K
  flow_per_pressure        ///< m3/(s Pa), opening of a valve
};

/// What the table knows about a kind of quantity.
struct QuantityInfo {
  std::string_view name;     ///< "mass flow"
  std::string_view si_unit;  ///< "kg/s"; empty for a plain number
  std::string_view example;  ///< a string a user may copy: "1.2 kg/s"; "0.4" for a plain number
  std::string_view display;  ///< the engineer's unit of terminal text: "cm2", "km/h", "degC"
};
const QuantityInfo& info(Quantity quantity);

/// Reads a quantity string. Grammar: number, optional blanks, unit; a unit is factors parted by blanks, "*"
/// or a middle dot, at most one "/", parentheses allowed, integer powers as "m2", "m^2", "m^-1", "m²".
/// Several factors below the "/" need parentheses: "W/m K" is refused, "W/(m K)" is right. degC and degF
/// stand alone; products take K, delta_degC or delta_degF. `gauge` may follow a unit of pressure where a
/// gauge pressure is expected. "hp" is 550 ft lbf/s, "PS" 75 kgf m/s. Errors (status input; place is left
/// empty, the caller knows it): missing_unit, unknown_unit (lists what is allowed and the nearest spelling),
/// wrong_dimension, not_a_number, number_out_of_range. Locale-independent; never throws.
Result<double> parse(std::string_view text, Quantity quantity);

/// SI value to text in the given unit ("420 cm2", "20 kPa gauge"); `unit` must be valid for the quantity.
/// With `digits` 0 the shortest form that reads back to the same double, or the nearest one where the unit's
/// grid is coarser; else at most that many significant digits, trailing zeros left out. Not-a-number gives
/// "nan m".
std::string write(double value, Quantity quantity, std::string_view unit, int digits = 0);

/// The same in the engineer's unit of `info(quantity).display`.
std::string show(double value, Quantity quantity, int digits = 4);

/// Converts an SI value to `unit` of this quantity; `unit` must be valid (assertion).
double convert(double value, Quantity quantity, std::string_view unit);

/// The unit text of a quantity string that `parse` accepts ("420 cm2" gives "cm2"); lets a writer keep it.
std::string_view unit_of(std::string_view text);

/// Regular expression (ECMA 262, as JSON Schema draft-07 takes it) that every accepted string of this kind
/// matches; a first check for editors, the parser decides.
std::string schema_pattern(Quantity quantity);

/// One row of the closed table, for docs and completion.
struct UnitInfo {
  std::string_view spelling;
  std::string_view meaning;  ///< "square centimetre" and the like
  double factor;             ///< SI value of one unit (without offset)
  double offset;             ///< SI = factor * value + offset; not zero for degC and degF alone
};
std::span<const UnitInfo> table();

}  // namespace corefeed::units
