// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string_view>

/// The closed table of unit spellings, with what the parser needs beside what the docs show. Internal to the
/// room; users of the library see `table()` of quantity.hpp.
namespace corefeed::units {

/// Exponents of kg, m, s, K, A and rad. Angle is a base of its own so that "30 deg" cannot pass as a number
/// and a shaft speed cannot pass as a frequency.
struct Dimension {
  static constexpr std::size_t bases = 6;
  std::array<int, bases> exponent{};

  friend bool operator==(const Dimension&, const Dimension&) = default;
};

/// How a unit of temperature may be used; every other unit is `ordinary`, and so is the kelvin.
enum class Role {
  ordinary,
  level,      ///< degC, degF: carries an offset, stands alone
  difference  ///< delta_degC, delta_degF: never a level
};

/// SI value = (value + shift) * numerator / denominator. The ratio holds decimal factors exactly, so that
/// "420 cm2" is the double nearest to 0.042 m2.
struct Unit {
  std::string_view spelling;
  std::string_view meaning;
  double numerator = 1;
  double denominator = 1;
  Dimension dimension;
  double shift = 0;
  Role role = Role::ordinary;
};

std::span<const Unit> unit_rows();

/// The row with this exact spelling, or null.
const Unit* find_unit(std::string_view spelling);

/// value * numerator / denominator, rounded once.
double scaled(double value, double numerator, double denominator);

}  // namespace corefeed::units
