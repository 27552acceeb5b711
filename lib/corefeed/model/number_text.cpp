// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/number_text.hpp"

#include <algorithm>
#include <charconv>

namespace corefeed::model {
namespace {

constexpr std::string_view largest_exact_integer = "9007199254740992";  // 2^53

bool is_beyond_exact_integers(std::string_view number) {
  if (number.find_first_of(".eE") != number.npos) return false;
  const std::size_t first = std::min(number.find_first_of("123456789"), number.size());
  const std::string_view digits = number.substr(first);
  if (digits.size() != largest_exact_integer.size()) return digits.size() > largest_exact_integer.size();
  return digits > largest_exact_integer;
}

/// For a number outside the range of doubles: is it too small rather than too large? Decided by the decimal
/// order of its first digit that is not 0, as `from_chars` says only "out of range".
bool is_too_small(std::string_view number) {
  const std::size_t e = number.find_first_of("eE");
  const std::string_view mantissa = number.substr(0, e);
  const std::size_t point = std::min(mantissa.find('.'), mantissa.size());
  const std::size_t first = std::min(mantissa.find_first_of("123456789"), mantissa.size());
  const auto order = static_cast<long long>(point) - static_cast<long long>(first);
  if (e == number.npos) return order < 0;
  std::string_view digits = number.substr(e + 1);
  const bool negative = digits.starts_with('-');
  if (negative || digits.starts_with('+')) digits.remove_prefix(1);
  long long exponent = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), exponent);
  if (error != std::errc()) return negative;
  return (negative ? -exponent : exponent) + order < 0;
}

}  // namespace

NumberText read_number_text(std::string_view text) {
  const std::size_t stop = std::min(text.find_first_not_of("0123456789+-.eE"), text.size());
  NumberText number;
  const auto [end, error] = std::from_chars(text.data(), text.data() + stop, number.value);
  if (error == std::errc::invalid_argument) return number;
  number.written = text.substr(0, static_cast<std::size_t>(end - text.data()));
  number.range = NumberRange::held;
  if (is_beyond_exact_integers(number.written)) {
    number.range = NumberRange::inexact_integer;
  } else if (error == std::errc::result_out_of_range) {
    number.range = is_too_small(number.written) ? NumberRange::too_small : NumberRange::too_large;
    number.value = number.written.starts_with('-') ? -0.0 : 0.0;
  }
  return number;
}

}  // namespace corefeed::model
