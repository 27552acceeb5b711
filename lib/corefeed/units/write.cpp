// SPDX-License-Identifier: Apache-2.0
#include <cassert>
#include <cmath>

#include "corefeed/units/number_text.hpp"
#include "corefeed/units/quantity.hpp"
#include "corefeed/units/quantity_kinds.hpp"
#include "corefeed/units/unit_grammar.hpp"

namespace corefeed::units {
namespace {

constexpr int all_digits = 17;

/// The scale of a unit that the caller promises to be valid for the quantity.
Scale known_scale(Quantity quantity, std::string_view unit) {
  const Kind& kind = kind_of(quantity);
  if (kind.info.si_unit.empty()) {
    assert(unit.empty());
    return {};
  }
  const std::variant<Scale, UnitFault> read = read_unit(unit);
  const Scale* scale = std::get_if<Scale>(&read);
  assert(scale != nullptr && scale->dimension == kind.dimension);
  return scale == nullptr ? Scale{} : *scale;
}

bool same(double a, double b) { return a == b && std::signbit(a) == std::signbit(b); }

/// The fewest digits that read back to the same SI value. Where the grid of the unit is coarser than that of
/// SI values no text may do so; then all 17 digits of the nearest value stand.
std::string shortest(double si, const Scale& scale) {
  const double value = scale.from_si(si);
  std::string text;
  for (int digits = 1; digits <= all_digits; ++digits) {
    text = number_text(value, digits);
    if (same(scale.to_si(read_number(text).value), si)) break;
  }
  return text;
}

}  // namespace

double convert(double si, Quantity quantity, std::string_view unit) {
  return known_scale(quantity, unit).from_si(si);
}

std::string write(double si, Quantity quantity, std::string_view unit, int digits) {
  const Scale scale = known_scale(quantity, unit);
  std::string text = digits > 0 ? number_text(scale.from_si(si), digits) : shortest(si, scale);
  if (!unit.empty()) text += ' ' + std::string(unit);
  return text;
}

std::string show(double si, Quantity quantity, int digits) {
  return write(si, quantity, info(quantity).display, digits);
}

}  // namespace corefeed::units
