// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "corefeed/network/workspace.hpp"

/// General solvers given the very same scaled equations and exact Jacobian as ours. Everything that can be
/// set up before (objects, memory, symbolic analysis) is, so that solving alone is measured.
namespace corefeed::benchmarks {

/// Largest scaled residual at which every solver may stop.
inline constexpr double enough = 1e-10;

class Peer {
 public:
  virtual ~Peer() = default;
  /// From x to a root; whether it says so itself.
  virtual bool solve(std::span<double> x) = 0;
};

/// SUNDIALS KINSOL: Newton with line search, a new Jacobian at each step.
std::unique_ptr<Peer> kinsol_dense(network::Workspace& work);
std::unique_ptr<Peer> kinsol_klu(network::Workspace& work);
/// Ceres Solver: Levenberg-Marquardt, one residual block an equation.
std::unique_ptr<Peer> ceres_dense(network::Workspace& work);

}  // namespace corefeed::benchmarks
