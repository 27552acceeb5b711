// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "corefeed/network/elimination.hpp"
#include "corefeed/network/system.hpp"

/// Room to work in: a system's equations evaluated, linearized and solved again and again without allocating.
/// Private to the library's sources.
namespace corefeed::network {

/// Which blocks of a system move; the unknowns of the others are held.
struct Moving {
  bool flow = true;
  bool heat = true;
};

/// One system with one choice of moving blocks. Rows are its moving equations divided by their scales,
/// columns the moving unknowns multiplied by theirs. The system has to outlive the workspace and keep its
/// equations; its parameters may change. Vectors `x` hold all unknowns of the system, SI.
class Workspace {
 public:
  explicit Workspace(const System& system, Moving moving = {});

  std::size_t size() const { return rows_.size(); }
  const System& system() const { return *system_; }
  /// Indices in the system, by row and by column.
  std::span<const int> equations() const { return rows_; }
  std::span<const int> unknowns() const { return columns_; }

  /// Scaled residuals at x.
  void evaluate(std::span<const double> x, std::span<double> rest);
  /// The same, and the Jacobian there.
  void linearize(std::span<const double> x, std::span<double> rest);
  /// The Jacobian's places, and its numbers from the last `linearize`.
  std::span<const Entry> pattern() const { return pattern_; }
  std::span<const double> jacobian() const { return jacobian_; }
  /// Where the Jacobian holds this row's and column's number, or npos; and that number, to be shifted between
  /// `linearize` and `factor`.
  std::size_t slot(std::size_t row, std::size_t column) const;
  double& jacobian(std::size_t slot) { return jacobian_[slot]; }
  static constexpr std::size_t npos = static_cast<std::size_t>(-1);
  /// A moving unknown of an equation: its place in the equation's list, its column, its number in the
  /// Jacobian. An equation may name an unknown twice; both add to one number.
  struct Active {
    int position;
    int column;
    int slot;
  };
  std::span<const Active> active(std::size_t row) const {
    const std::size_t first = row == 0 ? 0 : active_end_[row - 1];
    return std::span(active_).subspan(first, active_end_[row] - first);
  }
  /// Column of an unknown of the system, or -1 where it is held.
  int column_of(int unknown) const { return column_of_[static_cast<std::size_t>(unknown)]; }

  /// Takes the Jacobian of the last `linearize`; false when it is singular.
  bool factor() { return elimination_.factor(jacobian_); }
  /// Solves J d = b or its transpose with what `factor` has taken; b becomes d. A step d moves unknown
  /// `unknowns()[j]` by d[j] times its scale.
  void solve(std::span<double> b) { elimination_.solve(b); }
  /// Residual over right-hand side that the next solutions of a large system may leave.
  void set_accuracy(double share) { elimination_.set_accuracy(share); }
  void solve_transposed(std::span<double> b) { elimination_.solve_transposed(b); }
  /// Keeps the order of elimination in use and goes back to it: see `Elimination`.
  void keep_pivots() { elimination_.keep_pivots(); }
  void restore_pivots() { elimination_.restore_pivots(); }
  const std::shared_ptr<const EliminationProgram>& elimination() const { return elimination_.program(); }

  /// Value of any function at x.
  double value(const Function& function, std::span<const double> x);
  /// Adds weight times the derivatives of any function at x: to `by_unknown` those with respect to the
  /// moving unknowns (by column, scaled), to `by_parameter` those with respect to all parameters (SI).
  void add_slopes(const Function& function, std::span<const double> x, double weight,
                  std::span<double> by_unknown);
  void add_parameter_slopes(const Function& function, std::span<const double> x, double weight,
                            std::span<double> by_parameter);

 private:
  void lay_out();
  void make_room(const Function& function);
  void gather(const Function& function, std::span<const double> x);
  void gather_duals(const Function& function, std::span<const double> x);

  const System* system_;
  std::vector<int> rows_, columns_;
  std::vector<int> column_of_;  ///< by unknown, or -1
  std::vector<Active> active_;
  std::vector<std::size_t> active_end_;  ///< by row
  std::vector<Entry> pattern_;
  std::vector<double> jacobian_;
  Elimination elimination_;
  // One equation's numbers; the derivatives of the dual ones are zero between uses.
  std::vector<double> x_, p_;
  std::vector<Dual> dual_x_, dual_p_;
};

}  // namespace corefeed::network
