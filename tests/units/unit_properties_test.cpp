// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>
#include <string>
#include <variant>
#include <vector>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/quantity_kinds.hpp"
#include "corefeed/units/unit_grammar.hpp"

/// What holds for every unit and every compound of units, whatever the number.
namespace corefeed::units {
namespace {

/// A kind of quantity and one of the units that messages offer for it.
struct Offered {
  const Kind* kind;
  std::string unit;
};

std::vector<Offered> all_offered() {
  std::vector<Offered> list;
  for (const Kind& kind : kinds()) {
    std::string_view rest = kind.allowed;
    while (!rest.empty()) {
      const std::size_t comma = rest.find(", ");
      list.push_back({&kind, std::string(rest.substr(0, comma))});
      rest = comma == std::string_view::npos ? std::string_view{} : rest.substr(comma + 2);
    }
  }
  return list;
}

Offered any_offered() {
  static const std::vector<Offered> all = all_offered();
  const auto& one = all[*rc::gen::inRange<std::size_t>(0, all.size())];
  RC_LOG() << one.kind->info.name << " in " << one.unit << "\n";
  return one;
}

/// Up to 15 digits, which every double holds, over 24 decades; shrinks to 0 and to few digits.
std::string any_number() {
  const int digits = *rc::gen::inRange(1, 16);
  const auto most = static_cast<std::int64_t>(std::pow(10.0, digits));
  const std::int64_t mantissa = *rc::gen::inRange<std::int64_t>(0, most);
  const int exponent = *rc::gen::inRange(-12, 13);
  const bool negative = *rc::gen::arbitrary<bool>();
  return (negative ? "-" : "") + std::to_string(mantissa) + "e" + std::to_string(exponent);
}

/// How far apart neighboring doubles are at this size.
double grid(double value) {
  const double size = std::abs(value);
  return std::nextafter(size, std::numeric_limits<double>::infinity()) - size;
}

// A level in degC or degF has the grid of its distance from absolute zero.
RC_GTEST_PROP(UnitProperties, WhatIsWrittenReadsBackToItselfOrItsNeighbor, ()) {
  const auto [kind, unit] = any_offered();
  const Result<double> value = parse(any_number() + ' ' + unit, kind->quantity);
  RC_PRE(value.ok());
  const std::string text = write(value.value(), kind->quantity, unit);
  const Result<double> back = parse(text, kind->quantity);
  RC_LOG() << text << "\n";
  RC_ASSERT(back.ok());
  RC_ASSERT(std::abs(back.value() - value.value()) <= grid(value.value()));
  RC_ASSERT(unit_of(text) == unit);
}

RC_GTEST_PROP(UnitProperties, ConversionIsTheInverseOfReading, ()) {
  const auto [kind, unit] = any_offered();
  const std::string number = any_number();
  const Result<double> value = parse(number + ' ' + unit, kind->quantity);
  RC_PRE(value.ok());
  const double given = std::stod(number);
  const std::variant<Scale, UnitFault> scale = read_unit(unit);
  RC_ASSERT(std::holds_alternative<Scale>(scale));
  const double shift = std::get<Scale>(scale).shift;
  // One rounding on the way to SI, one on the way back, and one where an offset is added.
  RC_ASSERT(std::abs(convert(value.value(), kind->quantity, unit) - given) <=
            3.0 * grid(std::abs(given) + shift));
}

/// A unit with a power, above or below the line.
struct Factor {
  const Unit* unit;
  int power;
};

std::vector<Factor> any_factors() {
  std::vector<Factor> factors;
  const int count = *rc::gen::inRange(1, 5);
  const auto rows = unit_rows();
  while (static_cast<int>(factors.size()) < count) {
    const Unit& unit = rows[*rc::gen::inRange<std::size_t>(0, rows.size())];
    // A level stands alone; a degree sign ends its word, so that a power may not follow.
    if (unit.role == Role::level) continue;
    const int power = *rc::gen::inRange(1, 4);
    factors.push_back({&unit, *rc::gen::arbitrary<bool>() ? power : -power});
  }
  return factors;
}

std::string power_text(int power) {
  if (power == 1) return "";
  static const char* const raised[] = {"", "\u00B9", "\u00B2", "\u00B3"};
  const bool superscript = *rc::gen::arbitrary<bool>();
  if (superscript) return (power < 0 ? "\u207B" : "") + std::string(raised[std::abs(power)]);
  return "^" + std::to_string(power);
}

std::string separator() { return *rc::gen::element<std::string>(" ", "*", "\u00B7", " \u22C5 ", "  ", "\t"); }

/// The factors in a row, each with its sign in its power.
std::string as_product(const std::vector<Factor>& factors) {
  std::string text;
  for (const Factor& one : factors) {
    if (!text.empty()) text += separator();
    text += std::string(one.unit->spelling) + power_text(one.power);
  }
  return text;
}

/// What has a negative power stands below a line.
std::string as_fraction(const std::vector<Factor>& factors) {
  std::string above;
  std::string below;
  for (const Factor& one : factors) {
    std::string& side = one.power > 0 ? above : below;
    if (!side.empty()) side += separator();
    side += std::string(one.unit->spelling) + power_text(std::abs(one.power));
  }
  if (above.empty()) above = "1";
  return below.empty() ? above : above + "/(" + below + ")";
}

/// The scale of a text that can be read.
Scale scale_of(const std::string& text) {
  const std::variant<Scale, UnitFault> read = read_unit(text);
  RC_LOG() << text << "\n";
  if (const UnitFault* fault = std::get_if<UnitFault>(&read)) RC_FAIL(fault->text);
  return std::get<Scale>(read);
}

RC_GTEST_PROP(UnitProperties, CompoundIsTheProductOfItsFactors, ()) {
  const std::vector<Factor> factors = any_factors();
  Dimension dimension;
  double factor = 1.0;
  for (const Factor& one : factors) {
    factor *= std::pow(one.unit->numerator / one.unit->denominator, one.power);
    for (std::size_t i = 0; i < Dimension::bases; ++i) {
      dimension.exponent[i] += one.power * one.unit->dimension.exponent[i];
    }
  }
  const Scale scale = scale_of(as_product(factors));
  RC_ASSERT(scale.dimension == dimension);
  // A dozen multiplications at most, each rounded.
  RC_ASSERT(std::abs(scale.to_si(1.0) / factor - 1.0) <= 1e-14);
  RC_ASSERT(std::abs(scale.from_si(scale.to_si(7.0)) / 7.0 - 1.0) <= 1e-14);
}

RC_GTEST_PROP(UnitProperties, PowersAndTheLineSayTheSame, ()) {
  const std::vector<Factor> factors = any_factors();
  const Scale product = scale_of(as_product(factors));
  const Scale fraction = scale_of(as_fraction(factors));
  RC_ASSERT(product.dimension == fraction.dimension);
  // The order of the factors differs, and with it the rounding of their product.
  RC_ASSERT(std::abs(product.to_si(1.0) / fraction.to_si(1.0) - 1.0) <= 1e-14);
}

}  // namespace
}  // namespace corefeed::units
