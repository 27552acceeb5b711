// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/cooling/solution.hpp"
#include "corefeed/model/model.hpp"
#include "corefeed/model/parameter.hpp"

/// A model at many values of some of its numbers: which rows there are, and what each of them gives. Rows are
/// solved in blocks that depend on the question alone, so that a row is the same to the bit on any number of
/// threads, in any slice, and after any interruption at the border of a block.
namespace corefeed::studies {

/// Numbers that move together: one, over a range or list, or the columns of a table.
struct SweepAxis {
  std::vector<std::string> names;  ///< as `model::find_parameter` knows them
  std::vector<double> values;      ///< SI, a row of names.size() numbers after the other
  std::size_t rows() const { return values.size() / names.size(); }
};

struct SweepQuestion {
  std::vector<SweepAxis> axes = {};      ///< all their rows cross; the last axis moves fastest
  std::vector<std::string> points = {};  ///< of the model, each with all rows; empty: all points
  std::vector<std::string> shown = {};   ///< quantities; empty: `quantities_of_interest`
  cooling::SolveOptions solver = {};
};

/// "NAME=A:B:N" (N values from A to B, both included) or "NAME=a,b,c". Errors (status usage): bad_range,
/// unknown_parameter with the nearest name, out_of_bounds, and those of quantity strings.
Result<SweepAxis> read_axis(const model::Model& model, std::string_view text);

/// The rows of a CSV file with a parameter a column, headed `NAME.key [unit]`. Errors (status input): those
/// of `model::read_csv`, unknown_parameter, missing_unit, unknown_unit, wrong_dimension, out_of_bounds.
Result<SweepAxis> read_axis_table(const model::Model& model, const std::string& path);

/// A column of a sweep.
struct SweepColumn {
  std::string name;
  units::Quantity quantity = units::Quantity::number;
};

/// Rows of a sweep that follow each other.
struct SweptRows {
  std::size_t first = 0;       ///< from 0
  std::vector<double> values;  ///< SI, the shown quantities of a row after the other; NaN without solution
  std::vector<std::string> reasons;  ///< by row: why there is no solution; empty where there is one
};

struct PlannedSweep;

/// What is to be solved: points times the rows of all axes, the point slowest.
class SweepPlan {
 public:
  static constexpr std::size_t most_rows = 1'000'000'000;

  /// The model has to live as long. Errors (status usage): no_axis, duplicate_parameter, unknown_parameter,
  /// out_of_bounds, conflicting_keys (a number that may not stand beside others of its element),
  /// unknown_point, unknown_quantity, duplicate_column, too_many_rows.
  static Result<SweepPlan> make(const model::Model& model, SweepQuestion question);

  const model::Model& model() const;
  const SweepQuestion& question() const;  ///< with the defaults filled in
  const std::vector<SweepColumn>& inputs() const;
  const std::vector<SweepColumn>& shown() const;
  /// Parameters that move nothing at some point, because it has a number of its own: code no_effect.
  const std::vector<Issue>& warnings() const;

  std::size_t rows() const;
  const std::string& point(std::size_t row) const;
  double input(std::size_t row, std::size_t column) const;  ///< SI

  std::size_t blocks() const;
  std::size_t block_begin(std::size_t block) const;  ///< its first row; of the one after the last: all rows

 private:
  friend class SweepSolver;
  explicit SweepPlan(std::shared_ptr<const PlannedSweep> planned);
  std::shared_ptr<const PlannedSweep> planned_;
};

/// Solves blocks of a plan, in any order; for one thread at a time. A row has no solution where `solve_point`
/// of the model with the row's numbers finds none, several, or one that does not last, or where the numbers
/// contradict each other.
class SweepSolver {
 public:
  explicit SweepSolver(const SweepPlan& plan);
  ~SweepSolver();
  SweepSolver(SweepSolver&&) noexcept;

  SweptRows solve(std::size_t block);

 private:
  struct Internals;
  std::unique_ptr<Internals> internals_;
};

/// All rows of a plan, on so many threads.
SweptRows sweep(const SweepPlan& plan, int jobs);

}  // namespace corefeed::studies
