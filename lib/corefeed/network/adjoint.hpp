// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <vector>

#include "corefeed/network/workspace.hpp"

/// Exact derivatives at a solution. Private to the library's sources.
namespace corefeed::network {

/// Linearizes and factors once; each quantity then costs one solution with the transposed Jacobian and the
/// derivatives of those equations with respect to their parameters that matter to it. The system has to
/// outlive it. For one thread at a time.
class Adjoint {
 public:
  Adjoint(const System& system, const std::vector<double>& x);
  /// The same in a workspace that all moves in and that has its pivots already. It has to outlive this and
  /// not to be used meanwhile.
  Adjoint(Workspace& work, const std::vector<double>& x);

  /// Total derivatives of a quantity with respect to all parameters of the system. Empty when the Jacobian is
  /// singular.
  std::vector<double> gradient(const Function& quantity);

 private:
  std::unique_ptr<Workspace> own_;
  Workspace* work_;
  std::vector<double> x_;
  std::vector<double> adjoint_;
  bool regular_ = false;
};

}  // namespace corefeed::network
