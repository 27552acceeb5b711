// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "corefeed/units/unit_table.hpp"

/// Reads unit texts such as "Pa s/m" or "J/(kg K)" into one scale. Internal to the room.
namespace corefeed::units {

/// What a whole unit text stands for: SI value = (value + shift) * numerator / denominator.
struct Scale {
  double numerator = 1;
  double denominator = 1;
  double shift = 0;
  Dimension dimension;
  Role role = Role::ordinary;
  bool alone = false;  ///< one unit to the first power
  bool gauge = false;  ///< the word "gauge" follows
  unsigned bases = 0;  ///< bit i is set when a factor uses base i, even if it cancels

  double to_si(double value) const { return scaled(value + shift, numerator, denominator); }
  double from_si(double value) const { return scaled(value, denominator, numerator) - shift; }
};

/// Why a unit text cannot be read, in words that can follow the quoted quantity.
struct UnitFault {
  std::string text;
};

std::variant<Scale, UnitFault> read_unit(std::string_view text);

/// The dimension in SI base units, "kg/(m s2)"; "1" for none.
std::string dimension_text(const Dimension& dimension);

}  // namespace corefeed::units
