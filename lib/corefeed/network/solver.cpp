// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/solver.hpp"

#include <fmt/format.h>

#include <Eigen/Core>

#include <algorithm>
#include <cmath>

#include "corefeed/network/newton.hpp"
#include "corefeed/network/workspace.hpp"

namespace corefeed::network {
namespace {

/// How well the stages are solved that only prepare the next.
constexpr double preparing_tolerance = 1e-2;

/// A part of the system on its way to a solution.
class Stage {
 public:
  Stage(const System& system, Moving moving, const SolveOptions& options)
      : work_(system, moving), newton_(work_), options_(options) {}

  /// Newton first; where it fails, continuation. `iterations` counts on.
  Termination solve(std::vector<double>& x, int& iterations);

 private:
  Termination newton(std::vector<double>& x, double tolerance, int& iterations,
                     std::span<const double> offset = {});
  Termination continue_from_start(std::vector<double>& x, int& iterations);

  Workspace work_;
  Newton newton_;
  SolveOptions options_;
};

Termination Stage::newton(std::vector<double>& x, double tolerance, int& iterations,
                          std::span<const double> offset) {
  const SolveOptions rest{.tolerance = tolerance, .most_iterations = options_.most_iterations - iterations};
  const Newton::Ended ended = newton_.run(x, rest, offset);
  iterations += ended.iterations;
  return ended.termination;
}

/// Newton's homotopy: F(x) = (1 - t) F(x_0) for t from 0 to 1, with steps that adapt.
Termination Stage::continue_from_start(std::vector<double>& x, int& iterations) {
  Eigen::VectorXd start(static_cast<Eigen::Index>(work_.size()));
  work_.evaluate(x, {start.data(), work_.size()});
  if (!start.allFinite()) return Termination::not_finite;
  double reached = 0.0;
  double step = 0.25;
  Termination last = Termination::no_descent;
  while (reached < 1.0 && step > 1e-4) {
    const double target = std::min(1.0, reached + step);
    std::vector<double> trial = x;
    const Eigen::VectorXd offset = (1.0 - target) * start;
    const double tolerance = target < 1.0 ? 1e-6 : options_.tolerance;
    last = newton(trial, tolerance, iterations, {offset.data(), work_.size()});
    if (last == Termination::converged) {
      x = trial;
      reached = target;
      step *= 2.0;
    } else if (last == Termination::iteration_limit) {
      return last;
    } else {
      step *= 0.25;
    }
  }
  return reached >= 1.0 ? Termination::converged : last;
}

Termination Stage::solve(std::vector<double>& x, int& iterations) {
  std::vector<double> trial = x;
  Termination ended = newton(trial, options_.tolerance, iterations);
  if (ended != Termination::converged && ended != Termination::iteration_limit) {
    trial = x;
    ended = continue_from_start(trial, iterations);
  }
  if (ended == Termination::converged) x = trial;
  return ended;
}

}  // namespace

Solved solve(const System& system, const std::vector<double>& start, const SolveOptions& options) {
  Solved solved;
  solved.x = start;
  // The first two only prepare, and roughly: whatever they reached, the whole system decides.
  SolveOptions rough = options;
  rough.tolerance = std::max(options.tolerance, preparing_tolerance);
  Stage(system, {.flow = true, .heat = false}, rough).solve(solved.x, solved.iterations);
  Stage(system, {.flow = false, .heat = true}, rough).solve(solved.x, solved.iterations);
  solved.termination = Stage(system, {}, options).solve(solved.x, solved.iterations);
  const std::vector<double> rest = system.residuals(solved.x);
  solved.residual = 0.0;
  for (std::size_t i = 0; i < rest.size(); ++i) {
    const double size = std::abs(rest[i]);
    if (size < solved.residual) continue;
    solved.residual = size;
    solved.worst = system.equations()[i].name;
    // Nothing compares with NaN: the first law without a number is the one to name.
    if (!std::isfinite(size)) break;
  }
  return solved;
}

std::string explain(const Solved& solved) {
  switch (solved.termination) {
    case Termination::converged:
      return fmt::format("converged in {} steps, largest residual {:.1e} (at {})", solved.iterations,
                         solved.residual, solved.worst);
    case Termination::iteration_limit:
      return fmt::format("not converged: {} steps were used up, largest residual {:.1e} at {}",
                         solved.iterations, solved.residual, solved.worst);
    case Termination::no_descent:
      return fmt::format("not converged: no step makes the residual smaller than {:.1e}, found at {}",
                         solved.residual, solved.worst);
    case Termination::singular:
      return fmt::format("not converged: the equations do not determine the flow near {}", solved.worst);
    case Termination::not_finite:
      return fmt::format("not converged: the law of {} gives no finite number", solved.worst);
    case Termination::not_run:
      break;
  }
  return "not solved";
}

}  // namespace corefeed::network
