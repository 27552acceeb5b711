// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/csv_table.hpp"

#include <cmath>
#include <string>

#include "corefeed/model/text_file.hpp"
#include "tests/fuzz/oracle.hpp"

/// Tables as such: what is accepted has a header and full rows of cells, numbers are finite, and the same
/// cells written plainly are read as the same table.
namespace corefeed::fuzz {
namespace {

using model::Table;

std::string in_quotes(std::string_view text) {
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + '"';
}

std::string header_cell(const Table::Column& column) {
  return in_quotes(column.has_unit ? column.name + " [" + column.unit + "]" : column.name);
}

/// The table with tabs between quoted cells.
std::string plain(const Table& table) {
  std::string text;
  for (const Table::Column& column : table.columns())
    text += (text.empty() ? "" : "\t") + header_cell(column);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    text += '\n';
    for (std::size_t column = 0; column < table.columns().size(); ++column)
      text += (column == 0 ? "" : "\t") + in_quotes(table.text(row, column));
  }
  return text + '\n';
}

/// A row that says what the header says is refused once it looks the same.
bool repeats_header(const Table& table) {
  for (std::size_t row = 0; row < table.rows(); ++row) {
    bool all = true;
    for (std::size_t column = 0; column < table.columns().size(); ++column)
      all = all && in_quotes(table.text(row, column)) == header_cell(table.columns()[column]);
    if (all) return true;
  }
  return false;
}

void require_numbers(const Table& table, std::string_view text) {
  for (std::size_t column = 0; column < table.columns().size(); ++column) {
    const Result<std::vector<double>> numbers = table.numbers(column);
    if (!numbers) {
      require_sound(numbers.issues(), text);
      continue;
    }
    require(numbers.value().size() == table.rows(), "a column has a number in every row");
    for (const double number : numbers.value())
      require(std::isfinite(number), "a number of a table is finite");
  }
}

}  // namespace

void run(std::string_view bytes) {
  const Result<Table> read = model::parse_csv(std::string(bytes), "fuzzed.csv");
  if (!read) return require_sound(read.issues(), bytes);
  const Table& table = read.value();
  require(table.rows() > 0 && !table.columns().empty(), "a table has rows and columns");
  for (std::size_t column = 0; column < table.columns().size(); ++column) {
    const std::string& name = table.columns()[column].name;
    require(table.find(name) == column, "a column is found by its name, which it alone has");
    require(table.column(name).ok(), "a column is found by its name");
  }
  int line = table.header_line();
  for (std::size_t row = 0; row < table.rows(); ++row) {
    require(table.line(row) > line, "rows follow each other");
    line = table.line(row);
  }
  require_numbers(table, bytes);
  if (repeats_header(table)) return;
  const Result<Table> again = model::parse_csv(plain(table), "written.csv");
  require(again.ok(), "the same cells written plainly can be read");
  require(again.value().rows() == table.rows() && again.value().columns().size() == table.columns().size(),
          "the same cells written plainly are as many");
  for (std::size_t column = 0; column < table.columns().size(); ++column) {
    const Table::Column& old = table.columns()[column];
    const Table::Column& now = again.value().columns()[column];
    require(old.name == now.name && old.unit == now.unit && old.has_unit == now.has_unit,
            "headers come back");
    for (std::size_t row = 0; row < table.rows(); ++row)
      require(table.text(row, column) == again.value().text(row, column), "cells come back");
  }
}

}  // namespace corefeed::fuzz
