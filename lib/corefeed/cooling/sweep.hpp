// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/cooling/solution.hpp"
#include "corefeed/result.hpp"

namespace corefeed::cooling {

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
