// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/quantity.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <regex>
#include <string>

#include "tests/fuzz/oracle.hpp"

/// Quantity strings: what is accepted is a finite number, matches the pattern that editors check by, and
/// comes back when it is written in its own unit or in SI. The first byte chooses the kind of quantity.
namespace corefeed::fuzz {
namespace {

using units::Quantity;

constexpr std::size_t kinds = static_cast<std::size_t>(Quantity::flow_per_pressure) + 1;

/// Longer text is left to the parser alone: the standard library's patterns recurse once a character.
constexpr std::size_t longest_matched = 500;

const std::regex& pattern_of(Quantity quantity) {
  static std::array<std::regex, kinds> patterns;
  static std::array<bool, kinds> made{};
  const auto place = static_cast<std::size_t>(quantity);
  if (!made[place]) patterns[place] = std::regex(units::schema_pattern(quantity), std::regex::ECMAScript);
  made[place] = true;
  return patterns[place];
}

void require_comes_back(double value, Quantity quantity, std::string_view unit) {
  const std::string written = units::write(value, quantity, unit);
  const Result<double> again = units::parse(written, quantity);
  require(again.ok(), "what is written can be read");
  // Where the unit's grid is the coarser one, the nearest number of it: a few roundings of the value in this
  // unit and of the level's offset.
  const double offset = quantity == Quantity::temperature ? 500.0 : 0.0;
  const double grid = 4.0 * std::numeric_limits<double>::epsilon() * (std::abs(value) + offset);
  require(std::abs(again.value() - value) <= std::max(grid, std::numeric_limits<double>::min()),
          "what is written is what was read");
  require(units::write(again.value(), quantity, unit) == written, "what is written again is the same text");
}

}  // namespace

void run(std::string_view bytes) {
  const auto [choice, text] = choose(bytes, kinds);
  const auto quantity = static_cast<Quantity>(choice);
  const Result<double> read = units::parse(text, quantity);
  if (!read) return require_sound(read.issues(), text);
  const double value = read.value();
  require(std::isfinite(value), "a quantity is finite");
  if (text.size() < longest_matched)
    require(std::regex_match(text.begin(), text.end(), pattern_of(quantity)),
            "what is accepted matches the pattern");
  const std::string_view unit = units::unit_of(text);
  require(std::isfinite(units::convert(value, quantity, unit)), "a quantity is finite in its own unit");
  require_comes_back(value, quantity, unit);
  const Result<double> exact =
      units::parse(units::write(value, quantity, units::info(quantity).si_unit), quantity);
  require(exact.ok() && same(exact.value(), value), "in SI units every number comes back");
  require(units::parse(units::show(value, quantity), quantity).ok(),
          "what is shown to an engineer can be typed");
}

}  // namespace corefeed::fuzz
