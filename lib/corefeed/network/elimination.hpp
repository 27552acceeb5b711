// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "corefeed/network/elimination_program.hpp"
#include "corefeed/network/reduced_elimination.hpp"

/// Solution of linear equations whose pattern stays while their numbers change. Private to the library's
/// sources.
namespace corefeed::network {

/// Gaussian elimination of a sparse square matrix. The first `factor` compiles an elimination; every further
/// one runs down that list of places and allocates nothing, unless new numbers make an old pivot too small:
/// then pivots are looked for again. Large matrices go to `ReducedElimination`.
class Elimination {
 public:
  /// `pattern` holds each place once.
  Elimination(std::size_t size, std::vector<Entry> pattern);

  /// Takes the matrix with these numbers, in the order of the pattern. False when it is singular or not
  /// finite.
  bool factor(std::span<const double> values);
  /// Residual over right-hand side that the next solutions of a large matrix may leave.
  void set_accuracy(double share) {
    if (large_) large_->set_accuracy(share);
  }
  /// Solves A x = b, or its transpose; `b` becomes x. Only after `factor` has given true.
  void solve(std::span<double> b);
  void solve_transposed(std::span<double> b);
  /// Keeps the pivots in use, or that there are none yet, and goes back to them: what is solved then does not
  /// depend on what came between.
  void keep_pivots() { kept_ = program_; }
  void restore_pivots() { program_ = kept_; }
  /// The elimination in use; null before the first `factor` and for large matrices.
  const std::shared_ptr<const EliminationProgram>& program() const { return program_; }

 private:
  bool run(std::span<const double> values, double largest_multiplier);

  std::size_t size_;
  std::vector<Entry> pattern_;
  std::shared_ptr<const EliminationProgram> program_, kept_;
  std::vector<double> number_;  ///< of both triangles, by slot; pivots hold their inverse
  std::vector<double> solved_;  ///< an answer while it is made
  std::optional<ReducedElimination> large_;
};

}  // namespace corefeed::network
