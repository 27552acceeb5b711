// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/number_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <system_error>

namespace corefeed::units {
namespace {

std::size_t digits_at(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
  return end - at;
}

bool is_sign(std::string_view text, std::size_t at) {
  return at < text.size() && (text[at] == '+' || text[at] == '-');
}

/// Bytes of the number at the head of the text, 0 when there is none.
std::size_t number_size(std::string_view text) {
  std::size_t at = is_sign(text, 0) ? 1 : 0;
  const std::size_t whole = digits_at(text, at);
  at += whole;
  std::size_t fraction = 0;
  if (at < text.size() && text[at] == '.') {
    fraction = digits_at(text, at + 1);
    at += 1 + fraction;
  }
  if (whole + fraction == 0) return 0;
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    const std::size_t sign = is_sign(text, at + 1) ? 1 : 0;
    const std::size_t exponent = digits_at(text, at + 1 + sign);
    if (exponent > 0) at += 1 + sign + exponent;
  }
  return at;
}

/// Places the point into "dddd" for value d.ddd * 10^exponent.
std::string positional(std::string digits, int exponent) {
  const int count = static_cast<int>(digits.size());
  if (exponent < 0) return "0." + std::string(static_cast<std::size_t>(-exponent - 1), '0') + digits;
  if (exponent >= count - 1) return digits + std::string(static_cast<std::size_t>(exponent - count + 1), '0');
  return digits.insert(static_cast<std::size_t>(exponent) + 1, ".");
}

}  // namespace

NumberText read_number(std::string_view text) {
  NumberText number;
  number.size = number_size(text);
  if (number.size == 0) return number;
  const std::size_t plus = text.front() == '+' ? 1 : 0;  // from_chars takes no plus sign
  const auto [end, error] = std::from_chars(text.data() + plus, text.data() + number.size, number.value,
                                            std::chars_format::general);
  const bool good = error == std::errc{} && end == text.data() + number.size;
  number.state = good ? NumberText::State::good : NumberText::State::out_of_range;
  return number;
}

std::string number_text(double value, int digits) {
  if (std::isnan(value)) return "nan";
  const std::string sign = std::signbit(value) ? "-" : "";
  if (std::isinf(value)) return sign + "inf";
  std::array<char, 40> buffer{};
  const auto written = std::to_chars(buffer.data(), buffer.data() + buffer.size(), std::abs(value),
                                     std::chars_format::scientific, std::clamp(digits, 1, 17) - 1);
  const std::string_view text(buffer.data(), static_cast<std::size_t>(written.ptr - buffer.data()));
  const std::size_t mark = text.find('e');
  std::string significant;
  for (const char c : text.substr(0, mark)) {
    if (c != '.') significant += c;
  }
  significant.erase(significant.find_last_not_of('0') + 1);
  if (significant.empty()) return sign + "0";
  int exponent = 0;
  const std::size_t power = mark + (text[mark + 1] == '+' ? 2 : 1);
  std::from_chars(text.data() + power, text.data() + text.size(), exponent);
  if (exponent >= -4 && exponent <= 15) return sign + positional(significant, exponent);
  if (significant.size() > 1) significant.insert(1, ".");
  return sign + significant + 'e' + std::to_string(exponent);
}

}  // namespace corefeed::units
