// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/quantity_kinds.hpp"
#include "corefeed/units/unit_table.hpp"

namespace corefeed::units {
namespace {

struct Printed {
  const char* spelling;
  double factor;    // to SI, as printed
  double relative;  // half a unit in the last printed digit, 0 where the printed value is exact
};

// NIST Special Publication 811 (2008), appendix B.8, from memory; SI Brochure, 9th ed. (2019), tables 7 and 8
// for prefixes, liter, minute, hour and degree. "exact" rows are definitions.
const Printed printed[] = {
    {"m", 1, 0},
    {"cm", 1e-2, 0},
    {"mm", 1e-3, 0},
    {"um", 1e-6, 0},
    {"\u00B5m", 1e-6, 0},
    {"km", 1e3, 0},
    {"in", 2.54e-2, 0},
    {"ft", 3.048e-1, 0},
    {"mi", 1.609344e3, 0},
    {"L", 1e-3, 0},
    {"l", 1e-3, 0},
    {"mL", 1e-6, 0},
    {"ml", 1e-6, 0},
    {"cc", 1e-6, 0},
    {"gal_us", 3.785412e-3, 2e-7},
    {"gal_imp", 4.54609e-3, 0},
    {"s", 1, 0},
    {"ms", 1e-3, 0},
    {"min", 60, 0},
    {"h", 3600, 0},
    {"kph", 2.777778e-1, 2e-7},
    {"mph", 4.4704e-1, 0},
    {"cfm", 4.719474e-4, 2e-7},
    {"kg", 1, 0},
    {"g", 1e-3, 0},
    {"mg", 1e-6, 0},
    {"lb", 4.5359237e-1, 0},
    {"oz", 2.834952e-2, 2e-7},
    {"N", 1, 0},
    {"kN", 1e3, 0},
    {"lbf", 4.4482216152605, 0},
    {"kgf", 9.80665, 0},
    {"Pa", 1, 0},
    {"uPa", 1e-6, 0},
    {"\u00B5Pa", 1e-6, 0},
    {"mPa", 1e-3, 0},
    {"hPa", 1e2, 0},
    {"kPa", 1e3, 0},
    {"MPa", 1e6, 0},
    {"bar", 1e5, 0},
    {"mbar", 1e2, 0},
    {"atm", 101325, 0},
    {"psi", 6.894757e3, 1e-7},
    {"mmH2O", 9.80665, 0},
    {"inH2O", 2.490889e2, 2e-7},
    {"mmHg", 1.333224e2, 4e-7},
    {"inHg", 3.386389e3, 2e-7},
    {"K", 1, 0},
    {"degC", 1, 0},
    {"\u00B0C", 1, 0},
    {"degF", 5.0 / 9, 0},
    {"\u00B0F", 5.0 / 9, 0},
    {"delta_degC", 1, 0},
    {"delta_degF", 5.0 / 9, 0},
    {"J", 1, 0},
    {"kJ", 1e3, 0},
    {"MJ", 1e6, 0},
    {"BTU", 1.05505585262e3, 0},
    {"W", 1, 0},
    {"kW", 1e3, 0},
    {"hp", 7.456999e2, 1e-7},
    {"PS", 7.354988e2, 1e-7},  // "horsepower (metric)"
    {"rad", 1, 0},
    {"deg", 1.745329e-2, 3e-7},
    {"\u00B0", 1.745329e-2, 3e-7},
    {"rev", 6.283185, 1e-7},
    {"rpm", 1.047198e-1, 5e-7},
    {"A", 1, 0},
    {"V", 1, 0},
    {"mV", 1e-3, 0},
    {"cP", 1e-3, 0},
    {"cSt", 1e-6, 0},
};

TEST(UnitTable, FactorsAreThePublishedOnes) {
  std::map<std::string, Printed> expected;
  for (const Printed& row : printed) expected[row.spelling] = row;
  ASSERT_EQ(expected.size(), std::size(printed));
  for (const UnitInfo& unit : table()) {
    const auto row = expected.find(std::string(unit.spelling));
    ASSERT_NE(row, expected.end()) << unit.spelling << " has no published factor beside it";
    // Exact definitions must come out as the nearest double.
    EXPECT_NEAR(unit.factor, row->second.factor, row->second.relative * row->second.factor) << unit.spelling;
  }
  EXPECT_EQ(table().size(), expected.size());
}

TEST(UnitTable, OnlyTemperatureLevelsCarryAnOffset) {
  for (const UnitInfo& unit : table()) {
    const bool celsius = unit.spelling == "degC" || unit.spelling == "\u00B0C";
    const bool fahrenheit = unit.spelling == "degF" || unit.spelling == "\u00B0F";
    const double offset = celsius ? 273.15 : fahrenheit ? 255.0 + 67.0 / 180 : 0.0;
    EXPECT_NEAR(unit.offset, offset, 1e-13) << unit.spelling;  // one rounding of 459.67 * 5/9
  }
}

TEST(UnitTable, SpellingsAreUniqueAndDescribed) {
  std::set<std::string_view> seen;
  for (const UnitInfo& unit : table()) {
    EXPECT_TRUE(seen.insert(unit.spelling).second) << unit.spelling;
    EXPECT_FALSE(unit.meaning.empty()) << unit.spelling;
    EXPECT_GT(unit.factor, 0) << unit.spelling;
  }
  EXPECT_GE(seen.size(), 60u);
  EXPECT_LE(seen.size(), 80u);
}

std::vector<std::string> split(std::string_view list) {
  std::vector<std::string> parts;
  while (!list.empty()) {
    const std::size_t comma = list.find(", ");
    parts.emplace_back(list.substr(0, comma));
    list = comma == std::string_view::npos ? std::string_view{} : list.substr(comma + 2);
  }
  return parts;
}

TEST(QuantityKinds, EveryUnitOfferedInAMessageIsAccepted) {
  for (const Kind& kind : kinds()) {
    for (const std::string& unit : split(kind.allowed)) {
      const Result<double> value = parse("3 " + unit, kind.quantity);
      EXPECT_TRUE(value.ok()) << kind.info.name << ": " << unit;
    }
  }
}

TEST(QuantityKinds, ExamplesAndDisplayUnitsAreAccepted) {
  for (const Kind& kind : kinds()) {
    EXPECT_TRUE(parse(kind.info.example, kind.quantity).ok()) << kind.info.name;
    if (kind.quantity == Quantity::number) continue;
    EXPECT_EQ(parse("1 " + std::string(kind.info.si_unit), kind.quantity).value(), 1.0) << kind.info.name;
    EXPECT_TRUE(parse("300 " + std::string(kind.info.display), kind.quantity).ok()) << kind.info.name;
  }
}

TEST(QuantityKinds, DimensionsAgreeWithHandDerivedOnes) {
  // kg, m, s, K, A, rad
  const std::map<Quantity, Dimension> expected{
      {Quantity::linear_loss, {{1, -2, -1, 0, 0, 0}}},
      {Quantity::quadratic_loss, {{1, -3, 0, 0, 0, 0}}},
      {Quantity::heat_capacity, {{0, 2, -2, -1, 0, 0}}},
      {Quantity::conductivity, {{1, 1, -3, -1, 0, 0}}},
      {Quantity::conductance, {{1, 2, -3, -1, 0, 0}}},
      {Quantity::shaft_speed, {{0, 0, -1, 0, 0, 1}}},
      {Quantity::voltage, {{1, 2, -3, 0, -1, 0}}},
      {Quantity::per_length, {{0, -1, 0, 0, 0, 0}}},
      {Quantity::number, {}},
      {Quantity::kinematic_viscosity, {{0, 2, -1, 0, 0, 0}}},
  };
  for (const auto& [quantity, dimension] : expected) {
    EXPECT_EQ(kind_of(quantity).dimension, dimension) << info(quantity).name;
  }
}

}  // namespace
}  // namespace corefeed::units
