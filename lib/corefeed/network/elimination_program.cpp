// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/elimination_program.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <utility>

namespace corefeed::network {
namespace {

/// A pivot is at least this share of the largest number in what is left of its column.
constexpr double pivot_share = 0.05;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

struct Number {
  int column;
  int slot;
  double value;
};

struct Pivot {
  int row = -1;
  int column = -1;
};

/// Rows or columns in the order of how many numbers they hold, then of their own: one bit each in the list of
/// their count.
class Counted {
 public:
  explicit Counted(std::size_t size) : words_((size + 63) / 64) {}

  void insert(std::size_t count, int index) {
    if (of_.size() <= count) of_.resize(count + 1);
    if (of_[count].empty()) of_[count].resize(words_);
    of_[count][at(index) / 64] |= bit(index);
  }
  void erase(std::size_t count, int index) { of_[count][at(index) / 64] &= ~bit(index); }

  /// Calls `visit` for the first `most` of them.
  template <class Visit>
  void visit_first(std::size_t most, const Visit& visit) const {
    for (const std::vector<std::uint64_t>& list : of_) {
      for (std::size_t w = 0; w < list.size(); ++w) {
        for (std::uint64_t word = list[w]; word != 0; word &= word - 1) {
          if (most-- == 0) return;
          visit(static_cast<int>(64 * w) + std::countr_zero(word));
        }
      }
    }
  }

 private:
  static std::uint64_t bit(int index) { return std::uint64_t{1} << (at(index) % 64); }

  std::size_t words_;
  std::vector<std::vector<std::uint64_t>> of_;
};

/// What is left of the matrix: rows as sorted lists that fill up, and for each column the rows it is found
/// in.
class Rest {
 public:
  Rest(std::size_t size, std::span<const Entry> pattern, std::span<const double> values)
      : rows_(size), rows_of_(size), by_row_count_(size), by_column_count_(size) {
    for (std::size_t e = 0; e < pattern.size(); ++e) {
      rows_[at(pattern[e].row)].push_back({pattern[e].column, static_cast<int>(e), values[e]});
      rows_of_[at(pattern[e].column)].push_back(pattern[e].row);
    }
    slots_ = static_cast<int>(pattern.size());
    for (std::size_t i = 0; i < size; ++i) {
      std::sort(rows_[i].begin(), rows_[i].end(),
                [](const Number& a, const Number& b) { return a.column < b.column; });
      by_row_count_.insert(rows_[i].size(), static_cast<int>(i));
      by_column_count_.insert(rows_of_[i].size(), static_cast<int>(i));
    }
  }

  /// The cheapest pivot that is large enough: nearly so, for a few of the shortest rows and columns are
  /// looked at first and all of them only when those hold none.
  Pivot cheapest() const {
    Pivot few = cheapest_among(8);
    return few.row >= 0 ? few : cheapest_among(rows_.size());
  }

  const std::vector<Number>& row(int index) const { return rows_[at(index)]; }
  const std::vector<int>& rows_of(int column) const { return rows_of_[at(column)]; }
  const Number& number(int row, int column) const { return *find(row, column); }
  std::size_t slots() const { return static_cast<std::size_t>(slots_); }

  /// Takes the pivot's row and column out of the search.
  void take(const Pivot& pivot) {
    by_row_count_.erase(rows_[at(pivot.row)].size(), pivot.row);
    by_column_count_.erase(rows_of_[at(pivot.column)].size(), pivot.column);
    for (const Number& one : rows_[at(pivot.row)]) {
      if (one.column != pivot.column) leave_column(one.column, pivot.row);
    }
  }

  /// The number that a pivot's column leaves below it, taken out of its row.
  Number take_below(int row, int column) {
    by_row_count_.erase(rows_[at(row)].size(), row);
    const auto place = rows_[at(row)].begin() + (find(row, column) - rows_[at(row)].cbegin());
    const Number taken = *place;
    rows_[at(row)].erase(place);
    by_row_count_.insert(rows_[at(row)].size(), row);
    return taken;
  }

  /// Subtracts from a number, which appears where there was none; its slot.
  int subtract(int row, int column, double value) {
    std::vector<Number>& numbers = rows_[at(row)];
    const auto place = numbers.begin() + (find(row, column) - numbers.cbegin());
    if (place != numbers.end() && place->column == column) {
      place->value -= value;
      return place->slot;
    }
    by_row_count_.erase(numbers.size(), row);
    numbers.insert(place, Number{column, slots_, -value});
    by_row_count_.insert(numbers.size(), row);
    by_column_count_.erase(rows_of_[at(column)].size(), column);
    rows_of_[at(column)].push_back(row);
    by_column_count_.insert(rows_of_[at(column)].size(), column);
    return slots_++;
  }

 private:
  std::vector<Number>::const_iterator find(int row, int column) const {
    return std::lower_bound(rows_[at(row)].begin(), rows_[at(row)].end(), column,
                            [](const Number& one, int wanted) { return one.column < wanted; });
  }

  Pivot cheapest_among(std::size_t most) const {
    Pivot best;
    std::size_t least = static_cast<std::size_t>(-1);
    const auto offer = [&](const Number& one, int row) {
      const std::size_t cost = (rows_[at(row)].size() - 1) * (rows_of_[at(one.column)].size() - 1);
      if (cost >= least || !(std::abs(one.value) > 0.0)) return;
      if (!(std::abs(one.value) >= pivot_share * largest_in(one.column))) return;
      least = cost;
      best = {row, one.column};
    };
    by_row_count_.visit_first(most, [&](int row) {
      for (const Number& one : rows_[at(row)]) offer(one, row);
    });
    by_column_count_.visit_first(most, [&](int column) {
      for (const int row : rows_of_[at(column)]) offer(number(row, column), row);
    });
    return best;
  }

  double largest_in(int column) const {
    double largest = 0.0;
    for (const int row : rows_of_[at(column)])
      largest = std::max(largest, std::abs(number(row, column).value));
    return largest;
  }

  void leave_column(int column, int row) {
    std::vector<int>& rows = rows_of_[at(column)];
    by_column_count_.erase(rows.size(), column);
    rows.erase(std::find(rows.begin(), rows.end(), row));
    by_column_count_.insert(rows.size(), column);
  }

  std::vector<std::vector<Number>> rows_;
  std::vector<std::vector<int>> rows_of_;
  Counted by_row_count_, by_column_count_;
  int slots_ = 0;
};

void record_step(Rest& rest, const Pivot& pivot, EliminationProgram& program) {
  const Number center = rest.number(pivot.row, pivot.column);
  program.pivot_row.push_back({center.slot, pivot.row});
  program.pivot_column.push_back(pivot.column);
  const std::size_t first = program.upper.size();
  std::vector<double> right;
  for (const Number& one : rest.row(pivot.row)) {
    if (one.column == pivot.column) continue;
    program.upper.push_back({one.slot, one.column});
    right.push_back(one.value);
  }
  program.upper_end.push_back(static_cast<int>(program.upper.size()));
  rest.take(pivot);
  for (const int row : rest.rows_of(pivot.column)) {
    if (row == pivot.row) continue;
    const Number below = rest.take_below(row, pivot.column);
    program.lower.push_back({below.slot, row});
    const double multiplier = below.value / center.value;
    for (std::size_t u = 0; u < right.size(); ++u) {
      program.target.push_back(rest.subtract(row, program.upper[first + u].index, multiplier * right[u]));
    }
  }
  program.lower_end.push_back(static_cast<int>(program.lower.size()));
}

}  // namespace

std::shared_ptr<const EliminationProgram> compile_elimination(std::size_t size,
                                                              std::span<const Entry> pattern,
                                                              std::span<const double> values) {
  auto program = std::make_shared<EliminationProgram>();
  Rest rest(size, pattern, values);
  for (std::size_t step = 0; step < size; ++step) {
    const Pivot pivot = rest.cheapest();
    if (pivot.row < 0) return nullptr;
    record_step(rest, pivot, *program);
  }
  program->slots = rest.slots();
  return program;
}

}  // namespace corefeed::network
