// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/losses/surroundings.hpp"
#include "corefeed/model/csv_table.hpp"
#include "corefeed/model/issue_list.hpp"

/// Columns of the tables that a model or a lap names, read with their bounds. Private to the library's
/// sources.
namespace corefeed::model {

/// A column of numbers that a table may have, with its bounds in SI.
struct KnownColumn {
  std::string_view name;
  units::Quantity quantity;
  double lowest;
  double highest;
};

namespace columns {
inline constexpr KnownColumn speed{"speed", units::Quantity::speed, 0.0, 120.0};
inline constexpr KnownColumn yaw{"yaw", units::Quantity::angle, -1.6, 1.6};
inline constexpr KnownColumn ride_height{"ride_height", units::Quantity::length, -1.0, 2.0};
inline constexpr KnownColumn engine_speed{"engine_speed", units::Quantity::shaft_speed, 0.0, 3000.0};
inline constexpr KnownColumn cp{"cp", units::Quantity::number, -6.0, 1.2};
}  // namespace columns

/// Reads columns of a table and keeps what is wrong with them.
class ColumnReader {
 public:
  explicit ColumnReader(const Table& table) : table_(table) {}

  void add(Place place, std::string code, std::string text);
  Place header_place() const { return {table_.file(), table_.header_line(), 0, {}}; }

  /// Place of a column that the table must have, or npos with issue missing_column.
  std::size_t require(std::string_view name);

  /// SI values of a column; issues: missing_unit, unknown_unit, wrong_dimension, out_of_bounds and those of
  /// its cells. Empty where the column could not be read.
  std::vector<double> numbers(std::size_t column, const KnownColumn& known);

  /// States of a fan in words, a row each; issues: wrong_dimension, unknown_name.
  std::vector<losses::FanState> fan_states(std::size_t column);

  /// Whether a name is among these; else issue unknown_name with the nearest.
  bool is_known(std::string_view name, const std::vector<std::string_view>& known, std::string_view what);

  /// Issue unknown_column: `table` has no such column, but these.
  void refuse_column(std::string_view table, std::string_view name, const std::vector<std::string>& known);

  bool failed() const { return !issues_.empty(); }
  std::vector<Issue> take_issues() { return issues_.take(table_.file()); }

 private:
  const Table& table_;
  IssueList issues_;
};

}  // namespace corefeed::model
