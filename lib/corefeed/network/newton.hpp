// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "corefeed/network/solver.hpp"
#include "corefeed/network/workspace.hpp"

/// Damped Newton's method in a workspace. Private to the library's sources.
namespace corefeed::network {

class Newton {
 public:
  /// The workspace has to live as long.
  explicit Newton(Workspace& work);

  struct Ended {
    Termination termination = Termination::not_run;
    int iterations = 0;
    double residual = -1.0;  ///< largest scaled residual
    bool converged() const { return termination == Termination::converged; }
  };

  /// Goes from x to a root near it; x is left at the last state that was an improvement. The residuals of
  /// `offset`, by row, count as zero; none where it is empty. Allocates nothing after the first time.
  Ended run(std::span<double> x, const SolveOptions& options, std::span<const double> offset = {});

  /// One whole step from x, whatever it does to the residuals: for a state next to a root, judged by other
  /// means. False where there is none; x is then as it was.
  bool whole_step(std::span<double> x);

 private:
  enum class Wanted { residuals, jacobian };
  void look(std::span<const double> x, std::span<const double> offset, Wanted wanted,
            std::vector<double>& rest);
  void move(std::span<const double> x, double share);
  bool line_search(std::span<double> x, std::span<const double> offset, Wanted wanted);
  bool direction(double accuracy);

  Workspace* work_;
  std::vector<double> rest_, next_, step_, trial_;
  bool fresh_ = false;  ///< whether the Jacobian is that of the last accepted state
};

}  // namespace corefeed::network
