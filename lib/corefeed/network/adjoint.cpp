// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/adjoint.hpp"

#include <algorithm>

namespace corefeed::network {

Adjoint::Adjoint(const System& system, const std::vector<double>& x)
    : own_(std::make_unique<Workspace>(system)), work_(own_.get()), x_(x), adjoint_(work_->size()) {
  work_->linearize(x_, adjoint_);
  regular_ = work_->factor();
}

Adjoint::Adjoint(Workspace& work, const std::vector<double>& x) : work_(&work), x_(x), adjoint_(work.size()) {
  work_->linearize(x_, adjoint_);
  regular_ = work_->factor();
}

std::vector<double> Adjoint::gradient(const Function& quantity) {
  if (!regular_) return {};
  std::fill(adjoint_.begin(), adjoint_.end(), 0.0);
  work_->add_slopes(quantity, x_, 1.0, adjoint_);
  work_->solve_transposed(adjoint_);
  const System& system = work_->system();
  std::vector<double> total(system.parameters().size(), 0.0);
  work_->add_parameter_slopes(quantity, x_, 1.0, total);
  for (std::size_t i = 0; i < adjoint_.size(); ++i) {
    const Equation& equation = system.equations()[i];
    if (adjoint_[i] != 0.0)
      work_->add_parameter_slopes(equation.residual, x_, -adjoint_[i] / equation.scale, total);
  }
  return total;
}

}  // namespace corefeed::network
