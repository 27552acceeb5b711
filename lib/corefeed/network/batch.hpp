// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "corefeed/network/assembly.hpp"
#include "corefeed/network/packed.hpp"
#include "corefeed/network/solver.hpp"
#include "corefeed/network/workspace.hpp"

/// One network at several operating points, solved at once: the same equations, scales and tolerance as
/// alone. Private to the library's sources.
namespace corefeed::network {

/// One truth value an operating point.
using LaneFlags = std::array<bool, lane_count>;

class Batch {
 public:
  /// Nothing where an equation is known for single points only, or the network is large. `work` holds the
  /// system's equations and has factored them near the points; it has to live as long, with the system.
  static std::optional<Batch> make(const Assembly& assembly, const Workspace& work,
                                   const PackedKernels& kernels);

  /// All numbers, the same for all points; they are those of the system when the batch is made.
  void set_parameters(std::span<const double> values);
  void set_parameter(int parameter, std::size_t lane, double value);
  /// All unknowns of one operating point, SI.
  void set_state(std::size_t lane, std::span<const double> x);
  void get_state(std::size_t lane, std::span<double> x) const;

  /// Newton's method with whole steps from the states that are set; which of the points have converged. A
  /// point that would need shorter steps counts as not converged: the solver for single points is for those.
  /// What becomes of a point does not depend on the others. The surroundings are the network's
  /// `outside_of_several`.
  LaneFlags solve(const SolveOptions& options);

 private:
  /// How a row is evaluated.
  struct Row {
    const Equation* equation;
    PackedEvaluator evaluate;
    const void* callable;
  };
  struct FreeBytes {
    void operator()(std::byte* bytes) const;
  };
  using Bytes = std::unique_ptr<std::byte[], FreeBytes>;

  Batch(const Workspace& work, const PackedKernels& kernels, std::vector<Row> rows);
  enum class Wanted { residuals, jacobian };
  void look(Wanted wanted);
  void look_at_row(std::size_t row, std::span<const Workspace::Active> active);
  void measure(Lanes& largest, Lanes& norm) const;
  void step(LaneFlags& moving);
  void take_back(std::size_t lane);

  const Workspace* work_;
  const PackedKernels* kernels_;
  std::shared_ptr<const EliminationProgram> program_;
  std::vector<Row> rows_;
  std::vector<Lanes> state_, numbers_;
  std::vector<Lanes> rest_, step_, before_;  ///< by row, by column, by unknown
  std::vector<Lanes> number_;                ///< the Jacobian, then its factors, by slot
  Bytes local_state_, local_numbers_;
};

}  // namespace corefeed::network
