// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "corefeed/network/elimination_program.hpp"

/// Linear equations of large flow networks. Private to the library's sources.
namespace corefeed::network {

/// Takes each flow out by its own element's law and keeps one equation a node, as nodal analysis does: a
/// matrix that would be symmetric if losses did not depend on pressure, and nearly is. Its symmetric part is
/// factored (Eigen's SimplicialLDLT, analyzed once), or solved by multigrid where there are many nodes and as
/// long as that takes few steps; what is left over is made up for by repeated correction. Where that does not
/// converge (heat, which only flows downstream), the whole matrix goes to SparseLU.
class ReducedElimination {
 public:
  ReducedElimination(std::size_t size, std::span<const Entry> pattern);
  ~ReducedElimination();
  ReducedElimination(ReducedElimination&&) noexcept;
  ReducedElimination& operator=(ReducedElimination&&) noexcept;

  /// False when the matrix is singular.
  bool factor(std::span<const double> values);
  /// Residual over right-hand side that the next solutions may leave; as small as rounding allows at first.
  void set_accuracy(double share);
  void solve(std::span<double> b);
  void solve_transposed(std::span<double> b);

 private:
  struct Internals;
  std::unique_ptr<Internals> internals_;
};

}  // namespace corefeed::network
