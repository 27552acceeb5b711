// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/network/assembly.hpp"

/// Newton's method on a system of equations. Private to the library's sources.
namespace corefeed::network {

struct SolveOptions {
  /// Largest scaled residual that counts as solved. Scales are the freestream head and a typical flow.
  double tolerance = 1e-10;
  int most_iterations = 200;  ///< Newton steps over all stages; the homotopy may take six times as many
};

enum class Termination {
  not_run,
  converged,
  iteration_limit,  ///< the steps allowed were used up
  no_descent,       ///< no step along Newton's direction made the residual smaller
  singular,         ///< the equations do not determine the unknowns
  not_finite        ///< a law gave no finite number at the start
};

/// Born invalid: `termination` says how it ended and `worst` where the largest residual is.
struct Solved {
  std::vector<double> x;
  double residual = -1.0;  ///< largest scaled residual
  int iterations = 0;      ///< Newton steps, continuation included
  Termination termination = Termination::not_run;
  std::string worst;  ///< name of the equation with the largest residual
  bool converged() const { return termination == Termination::converged; }
};

/// Solves from `start`: first the flow with temperatures held, then the temperatures with the flow held, then
/// all at once with the exact Jacobian. Where Newton fails, the ways of docs/solver.md follow one after the
/// other.
Solved solve(const System& system, const std::vector<double>& start, const SolveOptions& options);

/// The same for a network, where more is known of the equations.
Solved solve(const Assembly& assembly, const std::vector<double>& start, const SolveOptions& options);

/// A sentence for each way to end.
std::string explain(const Solved& solved);

}  // namespace corefeed::network
