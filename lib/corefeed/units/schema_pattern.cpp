// SPDX-License-Identifier: Apache-2.0
#include <cstddef>
#include <string>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/quantity_kinds.hpp"
#include "corefeed/units/unit_table.hpp"

namespace corefeed::units {
namespace {

constexpr std::string_view blanks = "[ \\t]*";
constexpr std::string_view number = "[+-]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][+-]?[0-9]+)?";
// Alternations instead of classes where a character has several bytes: true for engines that read bytes too.
constexpr std::string_view power = "([1-9]|\\^-?[1-9]|(\u207B)?(\u00B9|\u00B2|\u00B3))?";
constexpr std::string_view between = "([ \\t*/()]|\u00B7|\u22C5)+";

bool offered(const Unit& unit, const Kind& kind) {
  if (kind.quantity == Quantity::temperature) {
    return unit.role == Role::level || unit.spelling == "K";
  }
  if (unit.role == Role::level) return false;
  for (std::size_t i = 0; i < Dimension::bases; ++i) {
    if (unit.dimension.exponent[i] != 0 && (kind.bases & (1u << i)) == 0) return false;
  }
  return true;
}

std::string spellings(const Kind& kind) {
  std::string list;
  for (const Unit& unit : unit_rows()) {
    if (!offered(unit, kind)) continue;
    if (!list.empty()) list += '|';
    list += unit.spelling;
  }
  return '(' + list + ')';
}

/// Loose on parentheses and fraction bars on purpose: two units never touch, so that matching stays linear.
std::string unit_pattern(const Kind& kind) {
  const std::string unit = spellings(kind) + std::string(power);
  std::string text = "([ \\t]*1?[ \\t]*/)?[ \\t(]*" + unit + '(' + std::string(between) + unit + ")*";
  text += kind.quantity == Quantity::pressure_gauge ? "([ \\t)]*[ \\t]gauge[ \\t]*|[ \\t)]*)" : "[ \\t)]*";
  return text;
}

}  // namespace

std::string schema_pattern(Quantity quantity) {
  const Kind& kind = kind_of(quantity);
  const std::string head = '^' + std::string(blanks) + std::string(number);
  return head + (kind.info.si_unit.empty() ? std::string(blanks) : unit_pattern(kind)) + '$';
}

}  // namespace corefeed::units
