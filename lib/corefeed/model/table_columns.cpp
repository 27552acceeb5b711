// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/table_columns.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <limits>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

constexpr std::array<std::string_view, 4> fan_words{"on", "freewheeling", "stopped", "removed"};

}  // namespace

void ColumnReader::add(Place place, std::string code, std::string text) {
  if (issues_.is_full()) return issues_.count_one();
  Issue issue;
  issue.code = std::move(code);
  issue.place = std::move(place);
  issue.text = std::move(text);
  issues_.add(std::move(issue));
}

std::size_t ColumnReader::require(std::string_view name) {
  const Result<std::size_t> column = table_.column(name);
  if (column) return column.value();
  issues_.add(column.issues().front());
  return Table::npos;
}

std::vector<double> ColumnReader::numbers(std::size_t column, const KnownColumn& known) {
  const Result<double> factor = column_factor(table_, column, known.quantity);
  if (!factor) issues_.add(factor.issues().front());
  Result<std::vector<double>> read = table_.numbers(column);
  if (!read) {
    for (const Issue& issue : read.issues()) issues_.add(issue);
  }
  if (!factor || !read) return {};
  std::vector<double> values = std::move(read).value();
  for (std::size_t row = 0; row < values.size(); ++row) {
    values[row] *= factor.value();
    if (values[row] >= known.lowest && values[row] <= known.highest) continue;
    const auto shown = [&known](double value) { return units::show(value, known.quantity); };
    const bool unbounded = known.highest == std::numeric_limits<double>::infinity();
    add(table_.place(row, column), "out_of_bounds",
        unbounded ? fmt::format("{} is {}; expected at least {}", table_.columns()[column].name,
                                shown(values[row]), shown(known.lowest))
                  : fmt::format("{} is {}; expected {} to {}", table_.columns()[column].name,
                                shown(values[row]), shown(known.lowest), shown(known.highest)));
  }
  return values;
}

std::vector<losses::FanState> ColumnReader::fan_states(std::size_t column) {
  if (table_.columns()[column].has_unit) {
    add(header_place(), "wrong_dimension",
        fmt::format("the column {} holds words and has no unit", quoted(table_.columns()[column].name)));
    return {};
  }
  std::vector<losses::FanState> states;
  for (std::size_t row = 0; row < table_.rows(); ++row) {
    const std::string_view word = table_.text(row, column);
    const auto found = std::find(fan_words.begin(), fan_words.end(), word);
    if (found == fan_words.end()) {
      add(table_.place(row, column), "unknown_name",
          fmt::format("{} is no state of a fan{}; expected one of: {}", quoted(word),
                      suggestion(word, {fan_words.begin(), fan_words.end()}), fmt::join(fan_words, ", ")));
    }
    states.push_back(static_cast<losses::FanState>(found - fan_words.begin()));
  }
  return states;
}

bool ColumnReader::is_known(std::string_view name, const std::vector<std::string_view>& known,
                            std::string_view what) {
  if (std::find(known.begin(), known.end(), name) != known.end()) return true;
  add(header_place(), "unknown_name",
      fmt::format("no {} is called {}{}; there are: {}", what, quoted(name), suggestion(name, known),
                  known.empty() ? std::string("none") : fmt::format("{}", fmt::join(known, ", "))));
  return false;
}

void ColumnReader::refuse_column(std::string_view table, std::string_view name,
                                 const std::vector<std::string>& known) {
  const std::vector<std::string_view> words(known.begin(), known.end());
  add(header_place(), "unknown_column",
      fmt::format("{} has no column {}{}; there are: {}", table, quoted(name), suggestion(name, words),
                  fmt::join(known, ", ")));
}

}  // namespace corefeed::model
