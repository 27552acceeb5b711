// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/unit_table.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include "corefeed/units/quantity.hpp"

namespace corefeed::units {
namespace {

//                                   kg  m   s  K  A  rad
constexpr Dimension mass{{1, 0, 0, 0, 0, 0}};
constexpr Dimension length{{0, 1, 0, 0, 0, 0}};
constexpr Dimension volume{{0, 3, 0, 0, 0, 0}};
constexpr Dimension time_{{0, 0, 1, 0, 0, 0}};
constexpr Dimension speed{{0, 1, -1, 0, 0, 0}};
constexpr Dimension volume_flow{{0, 3, -1, 0, 0, 0}};
constexpr Dimension force{{1, 1, -2, 0, 0, 0}};
constexpr Dimension pressure{{1, -1, -2, 0, 0, 0}};
constexpr Dimension energy{{1, 2, -2, 0, 0, 0}};
constexpr Dimension power{{1, 2, -3, 0, 0, 0}};
constexpr Dimension temperature{{0, 0, 0, 1, 0, 0}};
constexpr Dimension current{{0, 0, 0, 0, 1, 0}};
constexpr Dimension voltage{{1, 2, -3, 0, -1, 0}};
constexpr Dimension angle{{0, 0, 0, 0, 0, 1}};
constexpr Dimension shaft_speed{{0, 0, -1, 0, 0, 1}};
constexpr Dimension dynamic_viscosity{{1, -1, -1, 0, 0, 0}};
constexpr Dimension kinematic_viscosity{{0, 2, -1, 0, 0, 0}};

constexpr double pi = std::numbers::pi;
// 550 ft lbf/s; the exact ratio does not fit into two doubles.
constexpr double mechanical_horsepower = 745.69987158227022;

// SI units and prefixes: SI Brochure, 9th ed. (2019). Others: NIST SP 811 (2008), appendix B: inch, foot,
// mile, pound, pound-force and gallons are exact by definition; conventional water and mercury columns are
// 1000 and 13595.1 kg/m3 times 9.80665 m/s2; Btu is the International Table one.
constexpr Unit rows[] = {
    {"m", "meter", 1, 1, length},
    {"cm", "centimeter", 1, 1e2, length},
    {"mm", "millimeter", 1, 1e3, length},
    {"um", "micrometer", 1, 1e6, length},
    {"\u00B5m", "micrometer", 1, 1e6, length},
    {"km", "kilometer", 1e3, 1, length},
    {"in", "inch", 254, 1e4, length},
    {"ft", "foot", 3048, 1e4, length},
    {"mi", "mile", 1609344, 1e3, length},
    {"L", "liter", 1, 1e3, volume},
    {"l", "liter", 1, 1e3, volume},
    {"mL", "milliliter", 1, 1e6, volume},
    {"ml", "milliliter", 1, 1e6, volume},
    {"cc", "cubic centimeter", 1, 1e6, volume},
    {"gal_us", "US liquid gallon", 3785411784, 1e12, volume},
    {"gal_imp", "imperial gallon", 454609, 1e8, volume},
    {"s", "second", 1, 1, time_},
    {"ms", "millisecond", 1, 1e3, time_},
    {"min", "minute", 60, 1, time_},
    {"h", "hour", 3600, 1, time_},
    {"kph", "kilometer per hour", 5, 18, speed},
    {"mph", "mile per hour", 44704, 1e5, speed},
    {"cfm", "cubic foot per minute", 28316846592, 6e13, volume_flow},
    {"kg", "kilogram", 1, 1, mass},
    {"g", "gram", 1, 1e3, mass},
    {"mg", "milligram", 1, 1e6, mass},
    {"lb", "pound (mass)", 45359237, 1e8, mass},
    {"oz", "ounce (mass)", 28349523125, 1e12, mass},
    {"N", "newton", 1, 1, force},
    {"kN", "kilonewton", 1e3, 1, force},
    {"lbf", "pound-force", 44482216152605, 1e13, force},
    {"kgf", "kilogram-force", 980665, 1e5, force},
    {"Pa", "pascal", 1, 1, pressure},
    {"uPa", "micropascal", 1, 1e6, pressure},
    {"\u00B5Pa", "micropascal", 1, 1e6, pressure},
    {"mPa", "millipascal", 1, 1e3, pressure},
    {"hPa", "hectopascal", 100, 1, pressure},
    {"kPa", "kilopascal", 1e3, 1, pressure},
    {"MPa", "megapascal", 1e6, 1, pressure},
    {"bar", "bar", 1e5, 1, pressure},
    {"mbar", "millibar", 100, 1, pressure},
    {"atm", "standard atmosphere", 101325, 1, pressure},
    {"psi", "pound-force per square inch", 44482216152605, 6451600000, pressure},
    {"mmH2O", "millimeter of water, conventional", 980665, 1e5, pressure},
    {"inH2O", "inch of water, conventional", 24908891, 1e5, pressure},
    {"mmHg", "millimeter of mercury, conventional", 133322387415, 1e9, pressure},
    {"inHg", "inch of mercury, conventional", 3386388640341, 1e9, pressure},
    {"K", "kelvin, a level or a difference", 1, 1, temperature},
    {"degC", "degree Celsius, a level", 1, 1, temperature, 273.15, Role::level},
    {"\u00B0C", "degree Celsius, a level", 1, 1, temperature, 273.15, Role::level},
    {"degF", "degree Fahrenheit, a level", 5, 9, temperature, 459.67, Role::level},
    {"\u00B0F", "degree Fahrenheit, a level", 5, 9, temperature, 459.67, Role::level},
    {"delta_degC", "difference of one degree Celsius", 1, 1, temperature, 0, Role::difference},
    {"delta_degF", "difference of one degree Fahrenheit", 5, 9, temperature, 0, Role::difference},
    {"J", "joule", 1, 1, energy},
    {"kJ", "kilojoule", 1e3, 1, energy},
    {"MJ", "megajoule", 1e6, 1, energy},
    {"BTU", "British thermal unit (International Table)", 105505585262, 1e8, energy},
    {"W", "watt", 1, 1, power},
    {"kW", "kilowatt", 1e3, 1, power},
    {"hp", "mechanical horsepower, 550 ft lbf/s", mechanical_horsepower, 1, power},
    {"PS", "metric horsepower, 75 kgf m/s", 73549875, 1e5, power},
    {"rad", "radian", 1, 1, angle},
    {"deg", "degree of angle", pi, 180, angle},
    {"\u00B0", "degree of angle", pi, 180, angle},
    {"rev", "revolution", 2 * pi, 1, angle},
    {"rpm", "revolution per minute", pi, 30, shaft_speed},
    {"A", "ampere", 1, 1, current},
    {"V", "volt", 1, 1, voltage},
    {"mV", "millivolt", 1, 1e3, voltage},
    {"cP", "centipoise", 1, 1e3, dynamic_viscosity},
    {"cSt", "centistokes", 1, 1e6, kinematic_viscosity},
};

}  // namespace

std::span<const Unit> unit_rows() { return rows; }

const Unit* find_unit(std::string_view spelling) {
  for (const Unit& unit : rows) {
    if (unit.spelling == spelling) return &unit;
  }
  return nullptr;
}

double scaled(double value, double numerator, double denominator) {
  const double product = value * numerator;
  const double quotient = product / denominator;
  if (!std::isfinite(quotient)) return quotient;
  const double lost = std::fma(value, numerator, -product);
  const double rest = std::fma(-quotient, denominator, product) + lost;
  return rest == 0 ? quotient : quotient + rest / denominator;  // keeps the sign of a zero
}

std::span<const UnitInfo> table() {
  static const std::vector<UnitInfo> infos = [] {
    std::vector<UnitInfo> list;
    for (const Unit& unit : rows) {
      list.push_back({unit.spelling, unit.meaning, unit.numerator / unit.denominator,
                      scaled(unit.shift, unit.numerator, unit.denominator)});
    }
    return list;
  }();
  return infos;
}

}  // namespace corefeed::units
