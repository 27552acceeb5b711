// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/result.hpp"
#include "corefeed/units/quantity.hpp"

/// Tables of a workshop: a header line with cells `name [unit]`, then one row a line. Cells are parted by
/// commas; by semicolons where decimals are commas; or by tabs, where the numbers decide which decimal mark
/// holds. Accepted without a word: a byte order mark, CRLF, a missing last line break, blank lines before and
/// behind the rows, lines that begin with '#', cells in double quotes. Everything doubtful is refused with
/// line and column.
namespace corefeed::model {

struct TableLimits {
  std::size_t bytes = 16'000'000;
  std::size_t rows = 1'000'000;
};

class Table {
 public:
  struct Column {
    std::string name;
    std::string unit;  ///< text in the brackets, empty without brackets
    bool has_unit = false;
  };

  const std::string& file() const { return file_; }
  const std::vector<Column>& columns() const { return columns_; }
  std::size_t rows() const { return rows_.size(); }

  /// Index of the column of that name, or npos.
  std::size_t find(std::string_view name) const;
  static constexpr std::size_t npos = static_cast<std::size_t>(-1);

  /// The same as an issue "missing_column" that lists the columns found and names the nearest.
  Result<std::size_t> column(std::string_view name) const;

  /// A cell without the blanks and quotes around it. The view ends with the table.
  std::string_view text(std::size_t row, std::size_t column) const;

  /// A cell as a number. Issues: "empty_cell", "not_a_number" (words, nan, inf, a number with its unit, the
  /// other decimal mark), "number_too_large", "integer_too_large", "number_underflow".
  Result<double> number(std::size_t row, std::size_t column) const;

  /// All numbers of a column, or the issues of all its cells.
  Result<std::vector<double>> numbers(std::size_t column) const;

  /// Where a cell, or the whole row, stands in the file.
  Place place(std::size_t row, std::size_t column) const;
  int line(std::size_t row) const { return rows_[row].line; }
  int header_line() const { return header_line_; }

 private:
  friend class TableReader;

  struct Cell {
    std::uint32_t offset = 0;
    std::uint32_t length = 0;
  };
  struct Row {
    int line = 0;
    std::uint32_t offset = 0;
  };

  const Cell& cell(std::size_t row, std::size_t column) const {
    return cells_[row * columns_.size() + column];
  }
  Issue cell_issue(std::size_t row, std::size_t column, std::string code, std::string text) const;

  std::string file_;
  std::string content_;  // cells and rows point into it
  std::vector<Column> columns_;
  std::vector<Row> rows_;
  std::vector<Cell> cells_;  // row by row
  char separator_ = ',';
  char decimal_mark_ = '.';
  int header_line_ = 0;
};

/// "volume_flow [m3/h]": how a column of this quantity is headed.
std::string header_of(std::string_view name, units::Quantity quantity);

/// SI value of one unit of a column. Issues: missing_unit, unknown_unit, wrong_dimension, with the header's
/// line.
Result<double> column_factor(const Table& table, std::size_t column, units::Quantity quantity);

/// Reads a table. Issues, all of status `input`: those of `read_text_file`, then "wrong_format" (looks like
/// another kind of file), "zero_byte", "control_byte", "invalid_utf8", "no_header", "bad_header" (empty or
/// unclosed header cell), "duplicate_column", "repeated_header", "ragged_row", "blank_line" (between rows),
/// "bad_quotes", "no_rows", "too_many_rows".
Result<Table> read_csv(const std::string& path, const TableLimits& limits = {});

/// The same for text that is in memory; `file_label` stands for the file in places.
Result<Table> parse_csv(std::string text, std::string file_label, const TableLimits& limits = {});

}  // namespace corefeed::model
