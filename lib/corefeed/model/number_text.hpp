// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// Inside of the readers: numbers from text, free of the locale, with what a double cannot hold told apart.
namespace corefeed::model {

enum class NumberRange {
  held,             ///< the double nearest to what is written
  too_large,        ///< no double is as large
  too_small,        ///< not zero as written, but no double is as small
  inexact_integer,  ///< an integer beyond 2^53, where doubles skip integers
  not_a_number      ///< the text does not begin with a number
};

struct NumberText {
  std::string_view written;  ///< the part of the text that is the number
  double value = 0.0;        ///< 0 with the sign as written if too small
  NumberRange range = NumberRange::not_a_number;
};

/// Reads the decimal number a text begins with: optional minus, digits with an optional point, optional
/// exponent; neither "inf" nor "nan" nor hexadecimal digits.
NumberText read_number_text(std::string_view text);

}  // namespace corefeed::model
