// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

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
  /// Points that `solve_several` takes at once.
  static constexpr std::size_t at_once = losses::lane_count;
  /// Solves as many points as there are rows of `values`, at most `at_once`: the inputs' numbers, SI, one row
  /// after the other. `results` takes a row of outputs for each, NaN where not converged. Each starts from
  /// what was solved in its place before, the first time and after `go_back` from the mark; what becomes of
  /// it does not depend on the others. The points are evaluated together where the case's equations allow it;
  /// what does not converge in that way is solved alone, from the mark. The inputs keep the numbers of the
  /// last row.
  void solve_several(std::span<const std::size_t> inputs, std::span<const double> values,
                     std::span<const std::size_t> outputs, std::span<double> results,
                     std::span<char> converged);
  /// Exact derivatives of an output at the last solution by all inputs, SI, by the inputs' places; that by
  /// the speed is not among them. Empty where the equations do not determine the state.
  std::vector<double> gradient(std::size_t output);
  /// Whether this case, with its numbers as they are set, is the other one: the same numbers and air outside,
  /// and the same residuals and outputs at the start, at the other's last state and there with all flows
  /// turned round. Tells what a case has made of a number when it was set up and `set` does not reach. Both
  /// have asked for the same outputs.
  bool is_same_as(Prepared& other);
  /// Whether the network may have further states than the one that is solved for; `cooling::solve` looks for
  /// them.
  bool may_have_several() const;
  /// Keeps the state as it is, to be gone back to: what follows then does not depend on what came between.
  void mark();
  void go_back();

 private:
  void return_to_mark();

  struct Internals;
  std::unique_ptr<Internals> internals_;
};

}  // namespace corefeed::cooling
