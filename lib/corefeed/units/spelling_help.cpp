// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/spelling_help.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

#include "corefeed/result.hpp"
#include "corefeed/units/unit_table.hpp"

namespace corefeed::units {
namespace {

constexpr std::size_t longest_word = 40;
constexpr int longest_distance = 40;

struct Habit {
  std::string_view written;
  std::string_view meant;
};

// What workshops write that the table leaves out, because it is ambiguous or says what the key says already.
constexpr Habit habits[] = {
    {"C", "degC"},
    {"F", "degF"},
    {"kmh", "km/h"},
    {"km/hr", "km/h"},
    {"fps", "ft/s"},
    {"lpm", "L/min"},
    {"gpm", "gal_us/min"},
    {"gal", "gal_us or gal_imp"},
    {"psig", "psi gauge"},
    {"psia", "psi"},
    {"barg", "bar gauge"},
    {"bara", "bar"},
    {"Nm", "N m"},
    {"hr", "h"},
    {"sec", "s"},
    {"inch", "in"},
    {"lbs", "lb"},
    {"liter", "L"},
    {"litre", "L"},
    {"sqm", "m2"},
    {"sqcm", "cm2"},
    {"sqin", "in2"},
    {"ccm", "cm3"},
    {"absolute", "nothing: the key says it"},
    {"gauge", "a unit of pressure before the word gauge"},
    {"bhp", "hp"},
    {"CV", "PS"},
    {"cv", "PS"},
    {"\u03BCm", "um"},
    {"\u03BCPa", "uPa"},
    {"RPM", "rpm"},
};

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::string lowered(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = lower(c);
  return result;
}

/// Wrong case is the smallest mistake: it decides only between units that are equally near without it.
std::string_view nearest_unit(std::string_view word) {
  constexpr int limit = 2;
  if (word.size() > longest_word) return {};
  const std::string low = lowered(word);
  std::string_view best;
  std::pair<int, int> best_distance{limit + 1, 0};
  for (const Unit& unit : unit_rows()) {
    const int distance = edit_distance(low, lowered(unit.spelling), limit);
    // An edit of every letter is no likeness.
    const auto letters = static_cast<int>(std::min(word.size(), unit.spelling.size()));
    if (distance > limit || (distance > 0 && distance >= letters)) continue;
    const std::pair distances{distance, edit_distance(word, unit.spelling, longest_distance)};
    if (distances < best_distance) {
      best = unit.spelling;
      best_distance = distances;
    }
  }
  return best;
}

}  // namespace

int edit_distance(std::string_view a, std::string_view b, int limit) {
  if (a.size() > longest_word || b.size() > longest_word) return limit + 1;
  std::array<std::array<int, longest_word + 1>, longest_word + 1> cost{};
  for (std::size_t i = 0; i <= a.size(); ++i) cost[i][0] = static_cast<int>(i);
  for (std::size_t j = 0; j <= b.size(); ++j) cost[0][j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int replaced = cost[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, replaced});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
      }
    }
  }
  return std::min(cost[a.size()][b.size()], limit + 1);
}

std::string unknown_unit_text(std::string_view word) {
  std::string text = "has the unknown unit " + quoted(word);
  for (const Habit& habit : habits) {
    if (habit.written == word) return text + "; write " + std::string(habit.meant);
  }
  const std::string_view nearest = nearest_unit(word);
  if (!nearest.empty()) text += "; did you mean " + quoted(nearest) + "?";
  return text;
}

}  // namespace corefeed::units
