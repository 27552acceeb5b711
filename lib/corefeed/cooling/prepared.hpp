// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string_view>

#include "corefeed/cooling/solution.hpp"

namespace corefeed::cooling {

/// A case that is solved again and again with other numbers: its equations are set up once, each solution
/// starts from the last one, and neither a change nor a solution nearby allocates memory. For one thread at a
/// time. Residuals are weighed by the typical flow and pressure of the case as it was given.
class Prepared {
 public:
  /// Solves nothing yet.
  explicit Prepared(const Case& problem, const SolveOptions& options = {});
  ~Prepared();
  Prepared(Prepared&&) noexcept;
  Prepared& operator=(Prepared&&) noexcept;

  /// A number "NAME.key" of an element or loop ("fender_vent.area", "coolant.heat_load"), or "speed" of the
  /// car; nothing where there is none. A key that the case does not give is no number of its law.
  std::optional<std::size_t> input(std::string_view name) const;
  /// SI. The caller keeps it within the key's bounds.
  void set(std::size_t input, double value);

  /// A quantity "NAME.what", as `Solution::value` knows it.
  std::optional<std::size_t> output(std::string_view name);
  /// At the last solution, SI.
  double value(std::size_t output);

  struct Ended {
    bool converged = false;
    double residual = -1.0;  ///< largest scaled residual
    int iterations = 0;      ///< Newton steps
  };
  /// From the last solution; the first time, and where no solution is near, as `cooling::solve` does it.
  Ended solve();
  /// Keeps the state as it is, to be gone back to: what follows then does not depend on what came between.
  void mark();
  void go_back();

 private:
  struct Internals;
  std::unique_ptr<Internals> internals_;
};

}  // namespace corefeed::cooling
