// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

/// The order of a sparse Gaussian elimination, found once and written out as a list of places. Private to the
/// library's sources.
namespace corefeed::network {

/// Place of one number of a matrix.
struct Entry {
  int row;
  int column;
};

/// Step k takes the pivot in `pivot_row[k]` and `pivot_column[k]`; `lower` are the rows below it that hold a
/// number in its column, `upper` the columns right of it that hold one in its row. `target` names, for each
/// pair of both, the number that changes. Numbers stand in slots: those of the matrix first, in the order of
/// its pattern, then those that fill in.
struct EliminationProgram {
  struct Place {
    int slot;
    int index;  ///< row of the pivot and of `lower`, column of `upper`
  };
  std::size_t slots = 0;
  std::vector<Place> pivot_row;
  std::vector<int> pivot_column;
  std::vector<Place> lower, upper;
  std::vector<int> lower_end, upper_end;  ///< by step: where its part of `lower` and `upper` ends
  std::vector<int> target;
};

/// Pivots that are cheap (Markowitz 1957, Management Science 3:255) and no small numbers of their columns,
/// found by eliminating once with these numbers. Null when the matrix is singular or not finite.
std::shared_ptr<const EliminationProgram> compile_elimination(std::size_t size,
                                                              std::span<const Entry> pattern,
                                                              std::span<const double> values);

}  // namespace corefeed::network
