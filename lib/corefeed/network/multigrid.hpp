// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <span>

/// Solution of large symmetric systems whose rows are those of a network's nodes. Private to the library's
/// sources.
namespace corefeed::network {

/// A symmetric positive definite matrix by compressed rows, both triangles, with columns in any order.
struct SymmetricRows {
  std::span<const int> begin;  ///< one more than there are rows
  std::span<const int> column;
  std::span<const double> value;
};

/// Conjugate gradients, preconditioned by multigrid over aggregates: neighbors that hang together most are
/// taken as one, level after level, and each level is visited by a few steps of conjugate gradients (the
/// K-cycle of Notay 2010, Electron. Trans. Numer. Anal. 37:123). Memory and work of a step grow in proportion
/// to the network.
class Multigrid {
 public:
  Multigrid();
  ~Multigrid();
  Multigrid(Multigrid&&) noexcept;
  Multigrid& operator=(Multigrid&&) noexcept;

  /// Takes the matrix, which has to live as long as it is solved with. False where a pivot is not positive.
  bool take(const SymmetricRows& matrix);
  /// Solves A x = b from zero until the residual is this share of b (Euclidean norms). Gives the steps it
  /// took, or -1 where so many did not do.
  int solve(std::span<const double> b, std::span<double> x, double share, int most_steps);

 private:
  struct Level;
  struct Internals;
  std::unique_ptr<Internals> internals_;
};

}  // namespace corefeed::network
