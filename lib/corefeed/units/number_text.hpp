// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Decimal numbers at the head of a quantity string. Internal to the room.
namespace corefeed::units {

struct NumberText {
  enum class State {
    good,
    none,         ///< the text does not begin with a decimal number
    out_of_range  ///< too large or too small for a double
  };
  State state = State::none;
  double value = 0;
  std::size_t size = 0;  ///< bytes of the number
};

/// `[+-] digits [. digits] [e [+-] digits]`, whatever the locale; no hexadecimal, no infinity.
NumberText read_number(std::string_view text);

/// Digits without an exponent where a person would write none, trailing zeros left out: "0.0125", "1.5e-9".
/// At most 17 significant digits.
std::string number_text(double value, int digits);

}  // namespace corefeed::units
