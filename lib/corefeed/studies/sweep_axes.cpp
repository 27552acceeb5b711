// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "corefeed/model/csv_table.hpp"
#include "corefeed/studies/sweep.hpp"
#include "corefeed/studies/sweep_parts.hpp"

namespace corefeed::studies {
namespace {

std::vector<std::string_view> parts_of(std::string_view text, char separator) {
  std::vector<std::string_view> parts;
  while (true) {
    const std::size_t end = text.find(separator);
    parts.push_back(trimmed(text.substr(0, end)));
    if (end == text.npos) return parts;
    text.remove_prefix(end + 1);
  }
}

Result<double> value_of(const model::Parameter& parameter, std::string_view text) {
  Result<double> value = units::parse(text, parameter.quantity);
  if (value) return value;
  Issue issue =
      usage(value.issues().front().code, fmt::format("{}: {}", parameter.name, value.issues().front().text));
  return issue;
}

Result<std::vector<double>> listed(const model::Parameter& parameter, std::string_view text) {
  std::vector<double> values;
  const std::vector<std::string_view> parts = parts_of(text, ',');
  for (const std::string_view part : parts) {
    const Result<double> value = value_of(parameter, part);
    if (value) {
      values.push_back(value.value());
      continue;
    }
    Issue issue = value.issues().front();
    if (parts.size() > 1) issue.text += "; commas part the values, decimals are points";
    return issue;
  }
  return values;
}

/// Of one axis: they are held in memory.
constexpr std::size_t most_values = 10'000'000;

/// N of A:B:N.
std::optional<std::size_t> count_of(std::string_view text) {
  std::size_t count = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), count);
  const bool whole = error == std::errc() && end == text.data() + text.size();
  return whole && count >= 1 && count <= most_values ? std::optional(count) : std::nullopt;
}

Result<std::vector<double>> ranged(const model::Parameter& parameter, std::string_view text) {
  const std::vector<std::string_view> parts = parts_of(text, ':');
  const std::optional<std::size_t> count = parts.size() == 3 ? count_of(parts[2]) : std::nullopt;
  if (!count) {
    return usage("bad_range",
                 fmt::format("{}: found {}; write a range as FROM:TO:COUNT, COUNT a whole number from 1 to "
                             "10,000,000, such as \"{}\"",
                             parameter.name, quoted(text), example_range(parameter.quantity)));
  }
  const Result<double> from = value_of(parameter, parts[0]);
  if (!from) return from.issues();
  const Result<double> to = value_of(parameter, parts[1]);
  if (!to) return to.issues();
  if (*count == 1 && from.value() != to.value()) {
    return usage("bad_range",
                 fmt::format("{}: one value cannot stand at both {} and {}; expected a count of 2 "
                             "or more",
                             parameter.name, quoted(parts[0]), quoted(parts[1])));
  }
  std::vector<double> values(*count, from.value());
  for (std::size_t i = 1; i < *count; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(*count - 1);
    values[i] = from.value() + share * (to.value() - from.value());
  }
  values.back() = to.value();
  return values;
}

/// The issue as one of the table's column or cell.
Issue placed(Issue issue, Place place) {
  issue.status = Status::input;
  issue.place = std::move(place);
  return issue;
}

/// SI values of one column. A level of temperature has an offset besides its factor.
Result<std::vector<double>> column_values(const model::Table& table, std::size_t column,
                                          const model::Parameter& parameter) {
  const Result<double> factor = model::column_factor(table, column, parameter.quantity);
  if (!factor) return factor.issues();
  Result<std::vector<double>> values = table.numbers(column);
  if (!values) return values;
  const Result<double> zero = units::parse("0 " + table.columns()[column].unit, parameter.quantity);
  const double offset = zero && parameter.quantity == units::Quantity::temperature ? zero.value() : 0.0;
  for (std::size_t row = 0; row < values.value().size(); ++row) {
    double& value = values.value()[row];
    value = offset + value * (factor.value() - offset);
    const auto outside = model::out_of_bounds(parameter, value);
    if (outside) return placed(*outside, table.place(row, column));
  }
  return values;
}

}  // namespace

std::string example_range(units::Quantity quantity) {
  const std::string_view unit = units::info(quantity).display;
  return unit.empty() ? "0.2:0.8:7" : fmt::format("20{0}:80{0}:7", unit);
}

Result<SweepAxis> read_axis(const model::Model& model, std::string_view text) {
  const std::size_t equal = text.find('=');
  if (equal == text.npos) {
    return usage("bad_range", fmt::format("found {}; write NAME=FROM:TO:COUNT or NAME=a,b,c, such as "
                                          "\"speed=60km/h:220km/h:9\"",
                                          quoted(text)));
  }
  const Result<model::Parameter> parameter = model::find_parameter(model, trimmed(text.substr(0, equal)));
  if (!parameter) return parameter.issues();
  const std::string_view right = trimmed(text.substr(equal + 1));
  const bool range = right.find(':') != right.npos;
  Result<std::vector<double>> values =
      range ? ranged(parameter.value(), right) : listed(parameter.value(), right);
  if (!values) return values.issues();
  for (const double value : values.value()) {
    if (auto outside = model::out_of_bounds(parameter.value(), value)) return *outside;
  }
  return SweepAxis{{parameter.value().name}, std::move(values).value()};
}

Result<SweepAxis> read_axis_table(const model::Model& model, const std::string& path) {
  const Result<model::Table> read = model::read_csv(path, {.bytes = 1'000'000'000, .rows = most_values});
  if (!read) return read.issues();
  const model::Table& table = read.value();
  SweepAxis axis;
  const std::size_t width = table.columns().size();
  axis.values.resize(table.rows() * width);
  for (std::size_t column = 0; column < width; ++column) {
    const Result<model::Parameter> parameter = model::find_parameter(model, table.columns()[column].name);
    if (!parameter) return placed(parameter.issues().front(), {table.file(), table.header_line(), 0, {}});
    const Result<std::vector<double>> values = column_values(table, column, parameter.value());
    if (!values) return values.issues();
    for (std::size_t row = 0; row < table.rows(); ++row)
      axis.values[row * width + column] = values.value()[row];
    axis.names.push_back(parameter.value().name);
  }
  return axis;
}

}  // namespace corefeed::studies
