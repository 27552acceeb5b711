// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "corefeed/network/elimination_program.hpp"

/// Solution of linear equations whose pattern stays while their numbers change. Private to the library's
/// sources.
namespace corefeed::network {

/// Gaussian elimination of a sparse square matrix. The first `factor` compiles an elimination; every further
/// one runs down that list of places and allocates nothing, unless new numbers make an old pivot too small:
/// then pivots are looked for again. Large matrices go to Eigen's SparseLU, which keeps its analysis too.
class Elimination {
 public:
  /// `pattern` holds each place once.
  Elimination(std::size_t size, std::vector<Entry> pattern);
  ~Elimination();
  Elimination(Elimination&&) noexcept;
  Elimination& operator=(Elimination&&) noexcept;

  /// Takes the matrix with these numbers, in the order of the pattern. False when it is singular or not
  /// finite.
  bool factor(std::span<const double> values);
  /// Solves A x = b, or its transpose; `b` becomes x. Only after `factor` has given true.
  void solve(std::span<double> b);
  void solve_transposed(std::span<double> b);
  /// Goes back to the pivots of the first `factor`, so that results do not depend on what came between.
  void forget() { program_ = first_; }

 private:
  struct Large;
  bool run(std::span<const double> values, double largest_multiplier);
  bool factor_large(std::span<const double> values);

  std::size_t size_;
  std::vector<Entry> pattern_;
  std::shared_ptr<const EliminationProgram> first_, program_;
  std::vector<double> number_;  ///< of both triangles, by slot; pivots hold their inverse
  std::vector<double> solved_;  ///< an answer while it is made
  std::unique_ptr<Large> large_;
};

}  // namespace corefeed::network
