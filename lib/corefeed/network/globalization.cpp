// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/globalization.hpp"

#include <algorithm>
#include <cmath>

#include "corefeed/network/norms.hpp"

namespace corefeed::network {
namespace {

double dot(std::span<const double> a, std::span<const double> b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

/// How an attempt stands before its next step.
Termination standing(double residual, int iterations, const SolveOptions& options) {
  if (!std::isfinite(residual)) return Termination::not_finite;
  // Below a hundredth of the tolerance further steps only shuffle rounding.
  if (residual <= 0.01 * options.tolerance) return Termination::converged;
  if (iterations < options.most_iterations) return Termination::not_run;
  return residual <= options.tolerance ? Termination::converged : Termination::iteration_limit;
}

}  // namespace

Globalization::Globalization(Workspace& work, const Laws& laws)
    : work_(&work),
      rest_(work.size()),
      next_(work.size()),
      step_(work.size()),
      trial_(work.system().unknowns().size()),
      along_(work.size()) {
  const auto find = [&work](const std::vector<int>& own, std::vector<Law>& list) {
    for (std::size_t row = 0; row < work.size() && !own.empty(); ++row) {
      const int unknown = own[static_cast<std::size_t>(work.equations()[row])];
      if (unknown < 0 || work.column_of(unknown) < 0) continue;
      const auto column = static_cast<std::size_t>(work.column_of(unknown));
      list.push_back({row, column, work.slot(row, column)});
    }
  };
  find(laws.own_flow, own_);
  find(laws.own_temperature, warm_);
}

/// Newton's step from `rest_` with the slopes of the laws changed; false where there is none.
bool Globalization::step(std::span<const double> x, Shape shape, double inertia) {
  // A law without any slope would let its flow go anywhere.
  constexpr double least_slope = 1e-9;
  work_->linearize(x, rest_);
  for (const Law& law : own_) {
    double& slope = work_->jacobian(law.slot);
    if (shape == Shape::convex) slope = -std::abs(slope);
    if (std::abs(slope) < least_slope) slope = -least_slope;
    slope -= inertia;
  }
  for (const Law& balance : warm_) {
    double& slope = work_->jacobian(balance.slot);
    slope += slope < 0.0 ? -inertia : inertia;
  }
  if (!work_->factor()) return false;
  std::transform(rest_.begin(), rest_.end(), step_.begin(), [](double one) { return -one; });
  work_->solve(step_);
  return std::isfinite(largest(step_));
}

/// A share above one is for the flows alone: pressures are multipliers and take the whole step at most.
void Globalization::move(std::span<const double> x, double share) {
  std::copy(x.begin(), x.end(), trial_.begin());
  const auto add = [&](std::size_t column, double part) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[column]);
    trial_[unknown] += part * step_[column] * work_->system().unknowns()[unknown].scale;
  };
  for (std::size_t column = 0; column < step_.size(); ++column) add(column, std::min(share, 1.0));
  if (share <= 1.0) return;
  for (const Law& law : own_) add(law.column, share - 1.0);
}

/// Slope of the content along the step, up to the scale of pressure. Pressures drop out of it where the step
/// keeps the mass balances.
double Globalization::content_slope(std::span<const double> rest) const {
  double sum = 0.0;
  for (const Law& law : own_) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[law.column]);
    sum -= step_[law.column] * work_->system().unknowns()[unknown].scale * rest[law.row];
  }
  return std::isfinite(sum) ? sum : HUGE_VAL;
}

/// Leaves in `trial_` and `next_` a state along the step where the content's slope has fallen to half of what
/// it is at the begin, by the Illinois variant of false position (Dowell & Jarratt 1971, BIT 11).
void Globalization::search(std::span<const double> x, double begin) {
  constexpr int most_trials = 40;
  double low = 0.0;
  double low_slope = begin;
  double high = 0.0;
  double high_slope = 0.0;
  double share = 1.0;
  for (int trials = 0; trials < most_trials; ++trials) {
    const double slope = content_slope(next_);
    if (std::abs(slope) <= 0.5 * std::abs(begin)) return;
    if (slope < 0.0) {
      low = share;
      low_slope = slope;
      high_slope *= 0.5;
    } else {
      high = share;
      high_slope = slope;
      low_slope *= 0.5;
    }
    if (high == 0.0) {
      // Still downhill: past a saddle the way may be long.
      share *= 4.0;
    } else if (std::isfinite(high_slope)) {
      share = low + (high - low) * std::clamp(low_slope / (low_slope - high_slope), 0.05, 0.95);
    } else {
      share = 0.5 * (low + high);
    }
    move(x, share);
    work_->evaluate(trial_, next_);
  }
}

Globalization::Ended Globalization::descend(std::vector<double>& x, const SolveOptions& options) {
  Ended ended;
  work_->evaluate(x, rest_);
  while (true) {
    ended.termination = standing(largest(rest_), ended.iterations, options);
    if (ended.termination != Termination::not_run) return ended;
    const bool first = ended.iterations == 0;
    if (!step(x, Shape::as_it_is, 0.0)) break;
    if (!first && content_slope(rest_) >= 0.0 && !step(x, Shape::convex, 0.0)) break;
    ++ended.iterations;
    move(x, 1.0);
    work_->evaluate(trial_, next_);
    const bool good = std::isfinite(largest(next_)) && norm(next_) <= 0.5 * norm(rest_);
    // The first step is taken whole: it makes the mass balances hold.
    if (!first && !good) search(x, content_slope(rest_));
    if (!std::isfinite(largest(next_))) break;
    std::copy(trial_.begin(), trial_.end(), x.begin());
    std::swap(rest_, next_);
  }
  ended.termination = largest(rest_) <= options.tolerance ? Termination::converged : Termination::singular;
  return ended;
}

Globalization::Ended Globalization::settle(std::vector<double>& x, const SolveOptions& options) {
  constexpr double heaviest = 1e12;
  Ended ended;
  double inertia = 1.0;
  bool first = true;
  work_->evaluate(x, rest_);
  while (true) {
    ended.termination = standing(largest(rest_), ended.iterations, options);
    if (ended.termination != Termination::not_run) return ended;
    ++ended.iterations;
    bool usable = step(x, Shape::as_it_is, inertia);
    if (usable) {
      move(x, 1.0);
      work_->evaluate(trial_, next_);
      const double size = norm(next_);
      usable = std::isfinite(size) && (first || size <= 5.0 * norm(rest_));
    }
    if (usable) {
      // Time goes on faster as the residual falls.
      if (!first) inertia *= std::clamp(norm(next_) / norm(rest_), 0.1, 2.0);
      std::copy(trial_.begin(), trial_.end(), x.begin());
      std::swap(rest_, next_);
      first = false;
      continue;
    }
    inertia *= 8.0;
    if (inertia < heaviest) continue;
    ended.termination =
        largest(rest_) <= options.tolerance ? Termination::converged : Termination::no_descent;
    return ended;
  }
}

/// Linearizes with the resistance: afterwards `rest_` is the residual, `along_` the derivative of the state
/// by the logarithm of the resistance, `step_` Newton's step. False where the factors do not exist.
bool Globalization::branch_factors(std::span<const double> x, double resistance) {
  work_->linearize(x, rest_);
  std::fill(along_.begin(), along_.end(), 0.0);
  for (const Law& law : own_) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[law.column]);
    const double fall = resistance * x[unknown] / work_->system().unknowns()[unknown].scale;
    work_->jacobian(law.slot) -= resistance;
    rest_[law.row] -= fall;
    along_[law.row] = fall;
  }
  if (!work_->factor()) return false;
  work_->solve(along_);
  std::transform(rest_.begin(), rest_.end(), step_.begin(), [](double one) { return -one; });
  work_->solve(step_);
  return std::isfinite(largest(step_)) && std::isfinite(largest(along_));
}

/// Newton's method back to the curve, square to the tangent.
bool Globalization::correct(std::vector<double>& x, double& logarithm, std::span<const double> tangent,
                            double tangent_log, Ended& ended) {
  constexpr int most_corrections = 12;
  constexpr double close_enough = 1e-7;
  for (int i = 0; i < most_corrections; ++i) {
    ++ended.iterations;
    if (!branch_factors(x, std::exp(logarithm))) return false;
    if (largest(rest_) <= close_enough) return true;
    const double across = dot(tangent, step_);
    const double turn = tangent_log + dot(tangent, along_);
    const double change = turn == 0.0 ? 0.0 : -across / turn;
    if (!(std::abs(change) < 2.0)) return false;
    for (std::size_t j = 0; j < step_.size(); ++j) step_[j] += change * along_[j];
    move(x, 1.0);
    std::copy(trial_.begin(), trial_.end(), x.begin());
    logarithm += change;
  }
  return false;
}

Globalization::Ended Globalization::release(std::vector<double>& x, const SolveOptions& options) {
  constexpr double first_log = 9.0;   // 8000 times the scale of pressure over flow
  constexpr double last_log = -14.0;  // a millionth of it: Newton's method finds the rest
  Ended ended;
  ended.termination = Termination::no_descent;
  for (const int unknown : work_->unknowns()) {
    x[static_cast<std::size_t>(unknown)] =
        work_->system().unknowns()[static_cast<std::size_t>(unknown)].start;
  }
  for (const Law& law : own_) x[static_cast<std::size_t>(work_->unknowns()[law.column])] = 0.0;
  double logarithm = first_log;
  std::vector<double> tangent(work_->size(), 0.0);
  if (!correct(x, logarithm, tangent, 1.0, ended)) return ended;
  double tangent_log = -1.0;
  double length = 0.5;
  std::vector<double> before(work_->size(), 0.0);
  double before_log = -1.0;
  while (length > 1e-7 && ended.iterations < options.most_iterations && logarithm < first_log + 1.0) {
    // The tangent of the curve here, on along the way it came.
    if (!branch_factors(x, std::exp(logarithm))) return ended;
    const double size = std::sqrt(1.0 + dot(along_, along_));
    const double sense = dot(before, along_) + before_log < 0.0 ? -1.0 : 1.0;
    for (std::size_t j = 0; j < along_.size(); ++j) tangent[j] = sense * along_[j] / size;
    tangent_log = sense / size;
    std::vector<double> trial = x;
    double trial_log = logarithm + length * tangent_log;
    step_.assign(tangent.begin(), tangent.end());
    move(x, length);
    std::copy(trial_.begin(), trial_.end(), trial.begin());
    const int used = ended.iterations;
    if (!correct(trial, trial_log, tangent, tangent_log, ended)) {
      length *= 0.3;
      continue;
    }
    if (ended.iterations - used <= 4) length = std::min(1.6 * length, 4.0);
    x = trial;
    logarithm = trial_log;
    before = tangent;
    before_log = tangent_log;
    if (logarithm < last_log) {
      ended.termination = Termination::converged;
      return ended;
    }
  }
  if (ended.iterations >= options.most_iterations) ended.termination = Termination::iteration_limit;
  return ended;
}

}  // namespace corefeed::network
