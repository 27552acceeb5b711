// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/csv_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "corefeed/model/issue_list.hpp"
#include "corefeed/model/nearest.hpp"
#include "corefeed/model/number_text.hpp"
#include "corefeed/model/text_file.hpp"

namespace corefeed::model {
namespace {

/// Why a cell is no number, in words that say what to write instead.
std::string number_advice(std::string_view cell, char separator, char decimal_mark) {
  const bool numeric_so_far = std::string_view("0123456789+-.,").find(cell[0]) != std::string_view::npos;
  const bool only_marks_differ = cell.find_first_not_of("0123456789+-.,eE") == std::string_view::npos;
  if (only_marks_differ && decimal_mark == ',' && cell.find('.') != cell.npos) {
    return separator == ';'
               ? "decimals are commas where semicolons part the cells; part them by commas if decimals "
                 "are points"
               : "other cells of this file have a comma as decimal mark";
  }
  if (only_marks_differ && cell.find(',') != cell.npos) {
    return "where decimals are commas, semicolons must part the cells";
  }
  const std::string foreign = first_foreign_character(cell);
  if (foreign == "U+2212") return "it begins with U+2212, which only looks like a minus sign";
  if (numeric_so_far && !only_marks_differ) return "a unit belongs into the header as `name [unit]`";
  return "expected a number";
}

}  // namespace

std::size_t Table::find(std::string_view name) const {
  const auto found = std::find_if(columns_.begin(), columns_.end(),
                                  [&](const Column& column) { return column.name == name; });
  return found == columns_.end() ? npos : static_cast<std::size_t>(found - columns_.begin());
}

Result<std::size_t> Table::column(std::string_view name) const {
  if (const std::size_t index = find(name); index != npos) return index;
  std::vector<std::string_view> names;
  std::string listed;
  for (const Column& column : columns_) {
    names.push_back(column.name);
    if (names.size() <= 20) listed += (listed.empty() ? "" : ", ") + corefeed::quoted(column.name);
  }
  const std::string near = nearest(name, names);
  Issue issue;
  issue.code = "missing_column";
  issue.place.file = file_;
  issue.place.line = header_line_;
  issue.text = fmt::format("there is no column {}; found {}{}", corefeed::quoted(name), listed,
                           near.empty() ? "" : fmt::format("; did you mean {}?", corefeed::quoted(near)));
  return issue;
}

std::string_view Table::text(std::size_t row, std::size_t column) const {
  const Cell& where = cell(row, column);
  return std::string_view(content_).substr(where.offset, where.length);
}

Place Table::place(std::size_t row, std::size_t column) const {
  const std::string_view line = std::string_view(content_).substr(rows_[row].offset);
  const std::size_t offset = cell(row, column).offset - rows_[row].offset;
  return {file_, rows_[row].line, text_position(line, offset).column, {}};
}

Issue Table::cell_issue(std::size_t row, std::size_t column, std::string code, std::string text) const {
  Issue issue;
  issue.code = std::move(code);
  issue.place = place(row, column);
  issue.text = fmt::format("column {}: {}", corefeed::quoted(columns_[column].name), text);
  return issue;
}

Result<double> Table::number(std::size_t row, std::size_t column) const {
  const std::string_view cell = text(row, column);
  if (cell.empty()) return cell_issue(row, column, "empty_cell", "the cell is empty; expected a number");
  std::string digits(cell.substr(cell.starts_with('+') ? 1 : 0));
  const bool other_mark = digits.find(decimal_mark_ == ',' ? '.' : ',') != digits.npos;
  if (decimal_mark_ == ',') std::replace(digits.begin(), digits.end(), ',', '.');
  const NumberText number = read_number_text(digits);
  const bool double_sign = cell.starts_with('+') && digits.starts_with('-');
  if (other_mark || double_sign || number.range == NumberRange::not_a_number ||
      number.written.size() != digits.size()) {
    return cell_issue(row, column, "not_a_number",
                      fmt::format("{} is no number; {}", corefeed::quoted(cell),
                                  number_advice(cell, separator_, decimal_mark_)));
  }
  switch (number.range) {
    case NumberRange::too_large:
      return cell_issue(
          row, column, "number_too_large",
          fmt::format("the number {} is too large; expected at most 1.797e308", corefeed::quoted(cell)));
    case NumberRange::inexact_integer:
      return cell_issue(row, column, "integer_too_large",
                        fmt::format("the integer {} cannot be held exactly; expected at most 2^53",
                                    corefeed::quoted(cell)));
    case NumberRange::too_small:
      return cell_issue(
          row, column, "number_underflow",
          fmt::format("the number {} is too small to be told from 0; write 0", corefeed::quoted(cell)));
    default:
      return number.value;
  }
}

Result<std::vector<double>> Table::numbers(std::size_t column) const {
  std::vector<double> values;
  values.reserve(rows());
  IssueList issues;
  for (std::size_t row = 0; row < rows(); ++row) {
    const Result<double> value = number(row, column);
    if (value.ok()) {
      values.push_back(value.value());
    } else {
      issues.add(value.issues().front());
    }
  }
  if (!issues.empty()) return issues.take(file_);
  return values;
}

std::string header_of(std::string_view name, units::Quantity quantity) {
  const std::string_view unit = units::info(quantity).display;
  return unit.empty() ? std::string(name) : fmt::format("{} [{}]", name, unit);
}

Result<double> column_factor(const Table& table, std::size_t column, units::Quantity quantity) {
  const Table::Column& found = table.columns()[column];
  Issue issue;
  issue.place.file = table.file();
  issue.place.line = table.header_line();
  if (quantity == units::Quantity::number) {
    if (!found.has_unit || found.unit.empty()) return 1.0;
    issue.code = "wrong_dimension";
    issue.text = fmt::format("the column {} has the unit {}, but it is a plain number",
                             corefeed::quoted(found.name), corefeed::quoted(found.unit));
    return issue;
  }
  Result<double> factor = units::parse("1 " + found.unit, quantity);
  if (factor) return factor;
  issue.code = factor.issues().front().code;
  issue.text = fmt::format("the column {}: {}; head it {}", corefeed::quoted(found.name),
                           found.has_unit ? factor.issues().front().text : std::string("its unit is missing"),
                           corefeed::quoted(header_of(found.name, quantity)));
  return issue;
}

}  // namespace corefeed::model
