// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "corefeed/cooling/prepared.hpp"
#include "corefeed/cooling/solution.hpp"
#include "corefeed/result.hpp"

namespace corefeed::cooling {

/// One case for block after block of points that differ in a few numbers: its equations are set up once. For
/// one thread at a time.
class BlockSolver {
 public:
  /// Inputs as `Prepared::input` knows them, outputs as `Solution::value` does; each one that the case has.
  /// Blocks begin at the solution for the inputs `begin`, SI, or, where that is empty, at the case's own.
  /// Residuals are weighed as the case was given: by the slowest of its points, all are solved as well as
  /// alone.
  BlockSolver(const Case& problem, const std::vector<std::string>& inputs,
              const std::vector<std::string>& outputs, const SolveOptions& options,
              std::span<const double> begin = {});

  /// Solves the points of one block, as many as `converged` has places: `values` holds a row of inputs for
  /// each, SI, `results` takes a row of outputs, NaN where not converged. A point begins at the one before
  /// it, so that the results depend on the block alone.
  void solve(std::span<const double> values, std::span<double> results, std::span<char> converged);

 private:
  void solve_together(std::span<const double> values, std::span<double> results, std::span<char> converged);

  Prepared prepared_;
  std::vector<std::size_t> inputs_, outputs_;
  std::vector<std::size_t> places_;  ///< of the points that are solved at once
  std::vector<double> some_values_, some_results_;
  std::vector<char> some_converged_;
};

/// Many points of one case that differ in a few numbers.
struct Sweep {
  std::vector<std::string> inputs;   ///< as `Prepared::input` knows them
  std::vector<std::string> outputs;  ///< quantities, as `Solution::value` knows them
  std::vector<double> values;        ///< SI, of the inputs: a row for each point, one row after the other
};

struct Swept {
  std::vector<double> values;   ///< SI, of the outputs: a row for each point; NaN where not converged
  std::vector<char> converged;  ///< by point
};

/// Solves all points on `jobs` threads (at least one), several at once where the case allows it. A point
/// starts from the solution of the one before it; every so many (4 to 64, by the number of points alone) one
/// starts from that of the case itself, so that the results are the same to the bit for any number of
/// threads. Issues: unknown_input, unknown_quantity, wrong_count (values that fill no row).
Result<Swept> sweep(const Case& problem, const Sweep& points, const SolveOptions& options, int jobs);

}  // namespace corefeed::cooling
