// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/newton.hpp"

#include <algorithm>
#include <cmath>

#include "corefeed/network/norms.hpp"

namespace corefeed::network {
namespace {

/// Whether, as convergence goes, the state after the next step will be so good that the Jacobian of this one
/// carries the last bit of the way. `now` and `before` are the residuals of this and the last state.
bool nearly_there(double now, double before, double enough) {
  if (!(now < before)) return false;
  const double next = now * (now / before) * (now / before);
  return 2.0 * next * (next / now) <= enough;
}

/// How exactly the next step of a large system has to be found: no better than Newton's method goes at this
/// state, and not so that the last step leaves more than enough (Eisenstat & Walker 1996, SIAM J. Sci.
/// Comput. 17, choice 2, with factors found on grids).
double needed_accuracy(double now, double before, double enough) {
  const double gain = before > 0.0 ? now / before : 1.0;
  return std::max(std::min(0.02, 0.1 * gain * std::sqrt(gain)), 0.2 * enough / now);
}

}  // namespace

Newton::Newton(Workspace& work)
    : work_(&work),
      rest_(work.size()),
      next_(work.size()),
      step_(work.size()),
      trial_(work.system().unknowns().size()) {}

void Newton::look(std::span<const double> x, std::span<const double> offset, Wanted wanted,
                  std::vector<double>& rest) {
  fresh_ = wanted == Wanted::jacobian;
  if (fresh_) {
    work_->linearize(x, rest);
  } else {
    work_->evaluate(x, rest);
  }
  for (std::size_t i = 0; i < offset.size(); ++i) rest[i] -= offset[i];
}

void Newton::move(std::span<const double> x, double share) {
  std::copy(x.begin(), x.end(), trial_.begin());
  for (std::size_t j = 0; j < step_.size(); ++j) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[j]);
    trial_[unknown] += share * step_[j] * work_->system().unknowns()[unknown].scale;
  }
}

/// Newton's step with the Jacobian of this state, or with that of the last one.
bool Newton::direction(double accuracy) {
  if (fresh_ && !work_->factor()) return false;
  work_->set_accuracy(accuracy);
  std::transform(rest_.begin(), rest_.end(), step_.begin(), [](double one) { return -one; });
  work_->solve(step_);
  work_->set_accuracy(0.0);
  return std::isfinite(largest(step_));
}

bool Newton::line_search(std::span<double> x, std::span<const double> offset, Wanted wanted) {
  const double before = norm(rest_);
  constexpr int most_halvings = 23;
  for (int halvings = 0; halvings <= most_halvings; ++halvings) {
    const double share = std::ldexp(1.0, -halvings);
    move(x, share);
    look(trial_, offset, halvings == 0 ? wanted : Wanted::residuals, next_);
    if (std::isfinite(largest(next_)) && norm(next_) <= (1.0 - 1e-4 * share) * before) {
      std::copy(trial_.begin(), trial_.end(), x.begin());
      std::swap(rest_, next_);
      return true;
    }
  }
  return false;
}

Newton::Ended Newton::run(std::span<double> x, const SolveOptions& options, std::span<const double> offset) {
  // Below a hundredth of the tolerance further steps only shuffle rounding.
  const double enough = 0.01 * options.tolerance;
  Ended ended;
  double before = 0.0;
  look(x, offset, Wanted::jacobian, rest_);
  while (true) {
    ended.residual = largest(rest_);
    if (!std::isfinite(ended.residual)) {
      ended.termination = Termination::not_finite;
      return ended;
    }
    const bool good_enough = ended.residual <= options.tolerance;
    const auto end = [&](Termination otherwise) {
      ended.termination = good_enough ? Termination::converged : otherwise;
      return ended;
    };
    if (ended.residual <= enough) return end(Termination::converged);
    if (ended.iterations >= options.most_iterations) return end(Termination::iteration_limit);
    const bool kept = !fresh_ && before > 0.0 && 2.0 * ended.residual * (ended.residual / before) <= enough;
    if (!fresh_ && !kept) look(x, offset, Wanted::jacobian, rest_);
    if (!direction(needed_accuracy(ended.residual, before, enough))) return end(Termination::singular);
    ++ended.iterations;
    const Wanted wanted =
        kept || nearly_there(ended.residual, before, enough) ? Wanted::residuals : Wanted::jacobian;
    before = ended.residual;
    if (line_search(x, offset, wanted)) continue;
    if (!kept) return end(Termination::no_descent);
    // The kept Jacobian did not carry that far: once more with the one of this state.
    before = 0.0;
    fresh_ = false;
  }
}

bool Newton::whole_step(std::span<double> x) {
  look(x, {}, Wanted::jacobian, rest_);
  if (!std::isfinite(largest(rest_)) || !direction(0.0)) return false;
  move(x, 1.0);
  std::copy(trial_.begin(), trial_.end(), x.begin());
  return true;
}

}  // namespace corefeed::network
