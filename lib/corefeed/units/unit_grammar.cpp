// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/unit_grammar.hpp"

#include <array>
#include <cstdlib>
#include <optional>
#include <utility>

#include "corefeed/result.hpp"
#include "corefeed/units/spelling_help.hpp"

namespace corefeed::units {
namespace {

// No sensible unit text is longer; it also bounds the work on hostile input.
constexpr std::size_t longest_unit = 100;
constexpr std::string_view several_bars =
    "has more than one \"/\"; write one, with all that stands below it in parentheses";

constexpr std::array<std::pair<std::string_view, int>, 3> superscripts{
    {{"\u00B9", 1}, {"\u00B2", 2}, {"\u00B3", 3}}};
constexpr std::string_view superscript_minus = "\u207B";
constexpr std::array<std::string_view, 3> products{"*", "\u00B7", "\u22C5"};

bool is_blank(char c) { return c == ' ' || c == '\t'; }
bool is_digit(char c) { return c >= '1' && c <= '9'; }

class UnitReader {
 public:
  explicit UnitReader(std::string_view text) : rest_(text) {}

  std::variant<Scale, UnitFault> read() {
    take_gauge();
    skip_blanks();
    const bool good = read_fraction();
    if (good && scale_.role == Role::level && !scale_.alone) {
      fail("uses " + level_ + " in a product, where only a difference makes sense; write K there");
    }
    if (fault_) return *std::move(fault_);
    return scale_;
  }

 private:
  bool fail(std::string text) {
    if (!fault_) fault_ = UnitFault{std::move(text)};
    return false;
  }

  bool starts(std::string_view what) const { return rest_.substr(0, what.size()) == what; }

  bool take(std::string_view what) {
    if (!starts(what)) return false;
    rest_.remove_prefix(what.size());
    return true;
  }

  bool skip_blanks() {
    const std::size_t before = rest_.size();
    while (!rest_.empty() && is_blank(rest_.front())) rest_.remove_prefix(1);
    return rest_.size() != before;
  }

  void take_gauge() {
    constexpr std::string_view word = "gauge";
    if (rest_.size() <= word.size() || rest_.substr(rest_.size() - word.size()) != word) return;
    const std::string_view before = rest_.substr(0, rest_.size() - word.size());
    if (!is_blank(before.back())) return;
    scale_.gauge = true;
    rest_ = before.substr(0, before.find_last_not_of(" \t") + 1);
  }

  bool read_fraction() {
    if (starts("1")) {
      rest_.remove_prefix(1);
      skip_blanks();
      if (!starts("/")) return fail("has a number inside its unit; write a power as \"m2\" or \"m^2\"");
    } else if (!starts("/") && !read_side(1)) {
      return false;
    }
    if (take("/")) {
      skip_blanks();
      if (!read_side(-1)) return false;
    }
    if (starts("/")) return fail(std::string(several_bars));
    if (!rest_.empty()) return fail("has " + quoted(rest_) + " left over after its unit");
    scale_.alone = factors_ == 1 && single_;
    return true;
  }

  /// One side of the fraction: a product, or a product in parentheses; `sign` is -1 below the line.
  bool read_side(int sign) {
    if (take("(")) {
      skip_blanks();
      if (!read_product(sign, true)) return false;
      if (starts("/")) return fail(std::string(several_bars));
      if (!take(")")) return fail("has a \"(\" without its \")\"");
      skip_blanks();
      return true;
    }
    return read_product(sign, sign > 0);
  }

  bool read_product(int sign, bool several) {
    while (true) {
      if (!read_factor(sign)) return false;
      const bool parted = take_separator();
      const bool ends = rest_.empty() || starts("/") || starts(")");
      if (ends && sign_taken_) return fail("has a product sign without a unit behind it");
      if (ends) return true;
      if (!parted) return fail("has " + quoted(rest_) + " left over after its unit");
      if (!several) {
        return fail("can be read in two ways; put all that stands below the \"/\" into parentheses");
      }
    }
  }

  bool take_separator() {
    const bool parted = skip_blanks();
    sign_taken_ = false;
    for (const std::string_view sign : products) {
      if (take(sign)) {
        skip_blanks();
        return sign_taken_ = true;
      }
    }
    return parted;
  }

  std::string_view take_word() {
    std::size_t size = 0;
    const auto ends_word = [&](std::string_view at) {
      if (is_blank(at.front()) || at.front() == '/' || at.front() == '(' || at.front() == ')' ||
          at.front() == '^')
        return true;
      for (const std::string_view sign : products) {
        if (at.substr(0, sign.size()) == sign) return true;
      }
      for (const auto& [sign, power] : superscripts) {
        if (at.substr(0, sign.size()) == sign) return true;
      }
      return at.substr(0, superscript_minus.size()) == superscript_minus;
    };
    while (size < rest_.size() && !ends_word(rest_.substr(size))) ++size;
    const std::string_view word = rest_.substr(0, size);
    rest_.remove_prefix(size);
    return word;
  }

  /// The power written behind a word by "^" or superscripts; 0 when there is none, nothing when it is bad.
  std::optional<int> take_power() {
    if (take("^")) {
      const int sign = take("-") ? -1 : 1;
      if (rest_.empty() || !is_digit(rest_.front())) return std::nullopt;
      const int power = sign * (rest_.front() - '0');
      rest_.remove_prefix(1);
      return power;
    }
    const bool negative = take(superscript_minus);
    for (const auto& [sign, power] : superscripts) {
      if (take(sign)) return negative ? -power : power;
    }
    return negative ? std::nullopt : std::optional<int>(0);
  }

  bool read_factor(int sign) {
    std::string_view word = take_word();
    if (word.empty())
      return fail(rest_.empty() ? "has an incomplete unit" : "has no unit before " + quoted(rest_));
    std::optional<int> power = take_power();
    if (!power) return fail("has an unreadable power; write it as \"m2\" or \"m^-1\"");
    const Unit* unit = find_unit(word);
    if (unit == nullptr && *power == 0 && is_digit(word.back())) {
      power = word.back() - '0';
      unit = find_unit(word.substr(0, word.size() - 1));
    }
    const bool digits = word.find_first_not_of("0123456789.") == std::string_view::npos;
    if (digits) return fail("has a number inside its unit; write a power as \"m2\" or \"m^2\"");
    if (unit == nullptr) return fail(unknown_unit_text(word));
    multiply(*unit, sign * (*power == 0 ? 1 : *power));
    return true;
  }

  void multiply(const Unit& unit, int power) {
    for (int i = 0; i < std::abs(power); ++i) {
      scale_.numerator *= power > 0 ? unit.numerator : unit.denominator;
      scale_.denominator *= power > 0 ? unit.denominator : unit.numerator;
    }
    for (std::size_t i = 0; i < Dimension::bases; ++i) {
      scale_.dimension.exponent[i] += power * unit.dimension.exponent[i];
      if (unit.dimension.exponent[i] != 0) scale_.bases |= 1u << i;
    }
    scale_.shift = unit.shift;
    if (unit.role != Role::ordinary && scale_.role != Role::level) scale_.role = unit.role;
    if (unit.role == Role::level) level_ = unit.spelling;
    single_ = power == 1;
    ++factors_;
  }

  std::string_view rest_;
  Scale scale_;
  std::string level_;
  int factors_ = 0;
  bool single_ = false;
  bool sign_taken_ = false;
  std::optional<UnitFault> fault_;
};

std::string power_text(std::string_view base, int power) {
  return std::string(base) + (power == 1 ? "" : std::to_string(power));
}

}  // namespace

std::variant<Scale, UnitFault> read_unit(std::string_view text) {
  if (text.size() > longest_unit) return UnitFault{"has a unit of more than 100 characters"};
  return UnitReader(text).read();
}

std::string dimension_text(const Dimension& dimension) {
  constexpr std::array<std::string_view, Dimension::bases> names{"kg", "m", "s", "K", "A", "rad"};
  std::string above, below;
  int count_below = 0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const int power = dimension.exponent[i];
    std::string& side = power > 0 ? above : below;
    if (power == 0) continue;
    if (!side.empty()) side += ' ';
    side += power_text(names[i], std::abs(power));
    if (power < 0) ++count_below;
  }
  if (above.empty()) above = "1";
  if (below.empty()) return above;
  return above + '/' + (count_below > 1 ? '(' + below + ')' : below);
}

}  // namespace corefeed::units
