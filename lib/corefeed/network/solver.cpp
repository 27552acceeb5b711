// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/solver.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>
#include <map>
#include <string_view>

namespace corefeed::network {
namespace {

using Sparse = Eigen::SparseMatrix<double>;
using Triplet = Eigen::Triplet<double>;

/// The part of the system that is solved while the rest is held.
struct Part {
  std::vector<std::size_t> equations;
  std::vector<int> column;  ///< by unknown: its column, or -1 when held
  std::vector<std::size_t> unknowns;
};

Part part_of(const System& system, bool flow, bool heat) {
  const auto active = [flow, heat](Block block) { return block == Block::flow ? flow : heat; };
  Part part;
  for (std::size_t i = 0; i < system.equations().size(); ++i) {
    if (active(system.equations()[i].block)) part.equations.push_back(i);
  }
  for (std::size_t j = 0; j < system.unknowns().size(); ++j) {
    part.column.push_back(active(system.unknowns()[j].block) ? static_cast<int>(part.unknowns.size()) : -1);
    if (active(system.unknowns()[j].block)) part.unknowns.push_back(j);
  }
  return part;
}

/// Scaled residuals of a part, less a share of those at the start of a continuation.
Eigen::VectorXd residual_of(const System& system, const Part& part, const std::vector<double>& x,
                            const Eigen::VectorXd& offset) {
  Eigen::VectorXd rest(static_cast<Eigen::Index>(part.equations.size()));
  for (std::size_t i = 0; i < part.equations.size(); ++i) {
    const Equation& equation = system.equations()[part.equations[i]];
    rest[static_cast<Eigen::Index>(i)] = evaluate(equation.residual, x, system.parameters()) / equation.scale;
  }
  return rest - offset;
}

/// Rows divided by the equations' scales, columns multiplied by the unknowns'.
Sparse jacobian_of(const System& system, const Part& part, const std::vector<double>& x) {
  std::vector<Triplet> entries;
  std::vector<Slope> slopes;
  for (std::size_t i = 0; i < part.equations.size(); ++i) {
    const Equation& equation = system.equations()[part.equations[i]];
    differentiate_unknowns(equation.residual, x, system.parameters(), slopes);
    for (const Slope& slope : slopes) {
      const auto unknown = static_cast<std::size_t>(slope.index);
      if (part.column[unknown] < 0) continue;
      entries.emplace_back(static_cast<int>(i), part.column[unknown],
                           slope.value * system.unknowns()[unknown].scale / equation.scale);
    }
  }
  const auto size = static_cast<Eigen::Index>(part.equations.size());
  Sparse jacobian(size, static_cast<Eigen::Index>(part.unknowns.size()));
  jacobian.setFromTriplets(entries.begin(), entries.end());
  return jacobian;
}

/// Solves J d = b; false when J is singular. Dense below the size where sparse bookkeeping pays.
bool solve_linear(const Sparse& jacobian, const Eigen::VectorXd& right, Eigen::VectorXd& solution) {
  constexpr Eigen::Index dense_limit = 200;
  if (jacobian.rows() <= dense_limit) {
    const Eigen::PartialPivLU<Eigen::MatrixXd> factors{Eigen::MatrixXd(jacobian)};
    solution = factors.solve(right);
  } else {
    Eigen::SparseLU<Sparse> factors;
    factors.compute(jacobian);
    if (factors.info() != Eigen::Success) return false;
    solution = factors.solve(right);
  }
  return solution.allFinite();
}

std::vector<double> moved(const System& system, const Part& part, const std::vector<double>& x,
                          const Eigen::VectorXd& step, double share) {
  std::vector<double> result = x;
  for (std::size_t j = 0; j < part.unknowns.size(); ++j) {
    const std::size_t unknown = part.unknowns[j];
    result[unknown] += share * step[static_cast<Eigen::Index>(j)] * system.unknowns()[unknown].scale;
  }
  return result;
}

/// A part to be solved, with what makes a flow network of it.
struct Task {
  const System* system;
  Part part;
  std::vector<Eigen::Index> own;  ///< by row: the column of the law's own flow, -1 where it is no law
  const SolveOptions* options;
  int* iterations;

  bool spent() const { return *iterations >= options->most_iterations; }
};

double largest(const Eigen::VectorXd& v) { return v.size() == 0 ? 0.0 : v.lpNorm<Eigen::Infinity>(); }

Eigen::VectorXd no_offset(const Task& task) {
  return Eigen::VectorXd::Zero(static_cast<Eigen::Index>(task.part.equations.size()));
}

/// Damped Newton on a part. The residual of `offset` counts as zero.
Termination newton(const Task& task, const Eigen::VectorXd& offset, double tolerance, int most,
                   std::vector<double>& x) {
  const System& system = *task.system;
  Eigen::VectorXd rest = residual_of(system, task.part, x, offset);
  if (!rest.allFinite()) return Termination::not_finite;
  for (int steps = 0;; ++steps) {
    const double before = largest(rest);
    // Below a hundredth of the tolerance further steps only shuffle rounding.
    if (before <= 0.01 * tolerance) return Termination::converged;
    const bool good_enough = before <= tolerance;
    if (steps >= most || task.spent()) {
      return good_enough ? Termination::converged : Termination::iteration_limit;
    }
    Eigen::VectorXd step;
    if (!solve_linear(jacobian_of(system, task.part, x), -rest, step)) {
      return good_enough ? Termination::converged : Termination::singular;
    }
    ++*task.iterations;
    double share = 1.0;
    bool accepted = false;
    while (!accepted && share > 1e-7) {
      const std::vector<double> trial = moved(system, task.part, x, step, share);
      const Eigen::VectorXd next = residual_of(system, task.part, trial, offset);
      if (next.allFinite() && next.norm() <= (1.0 - 1e-4 * share) * rest.norm()) {
        x = trial;
        rest = next;
        accepted = true;
      }
      share *= 0.5;
    }
    if (!accepted) return good_enough ? Termination::converged : Termination::no_descent;
  }
}

/// Newton's step with the slope of every law at least `floor` in size and rising, as a convex model wants it.
bool convex_step(const Task& task, const std::vector<double>& x, const Eigen::VectorXd& rest, bool convexify,
                 Eigen::VectorXd& step) {
  constexpr double floor = 1e-9;
  Sparse jacobian = jacobian_of(*task.system, task.part, x);
  for (std::size_t i = 0; i < task.own.size(); ++i) {
    if (task.own[i] < 0) continue;
    double& slope = jacobian.coeffRef(static_cast<Eigen::Index>(i), task.own[i]);
    if (convexify) slope = -std::abs(slope);
    if (std::abs(slope) < floor) slope = -floor;
  }
  return solve_linear(jacobian, -rest, step);
}

/// Slope of the content (the sum over the branches of the integral of loss less pressure difference over the
/// flow) along the step: pressures drop out where the step keeps the mass balances.
double content_slope(const Task& task, const Eigen::VectorXd& step, const Eigen::VectorXd& rest) {
  double sum = 0.0;
  for (std::size_t i = 0; i < task.own.size(); ++i) {
    if (task.own[i] < 0) continue;
    const std::size_t unknown = task.part.unknowns[static_cast<std::size_t>(task.own[i])];
    sum -= step[task.own[i]] * task.system->unknowns()[unknown].scale * rest[static_cast<Eigen::Index>(i)];
  }
  return sum;
}

/// Descent on the content: each step goes to about the lowest point along Newton's direction. For losses that
/// rise with their flow the content is convex and this ends at its only minimum whatever the start.
Termination descend(const Task& task, int most, std::vector<double>& x) {
  const System& system = *task.system;
  const Eigen::VectorXd none = no_offset(task);
  Eigen::VectorXd rest = residual_of(system, task.part, x, none);
  if (!rest.allFinite()) return Termination::not_finite;
  for (int steps = 0;; ++steps) {
    if (largest(rest) <= 0.01 * task.options->tolerance) return Termination::converged;
    if (steps >= most || task.spent()) {
      return largest(rest) <= task.options->tolerance ? Termination::converged : Termination::iteration_limit;
    }
    ++*task.iterations;
    Eigen::VectorXd step;
    if (!convex_step(task, x, rest, false, step)) return Termination::singular;
    double begin = content_slope(task, step, rest);
    if (steps > 0 && begin >= 0.0) {
      if (!convex_step(task, x, rest, true, step)) return Termination::singular;
      begin = content_slope(task, step, rest);
    }
    const auto at = [&](double share) {
      // Pressures are multipliers: they take the whole step at most.
      std::vector<double> trial = moved(system, task.part, x, step, std::min(share, 1.0));
      if (share > 1.0) {
        for (std::size_t i = 0; i < task.own.size(); ++i) {
          if (task.own[i] < 0) continue;
          const std::size_t unknown = task.part.unknowns[static_cast<std::size_t>(task.own[i])];
          trial[unknown] += (share - 1.0) * step[task.own[i]] * system.unknowns()[unknown].scale;
        }
      }
      return trial;
    };
    double share = 1.0;
    std::vector<double> trial = at(share);
    Eigen::VectorXd next = residual_of(system, task.part, trial, none);
    // The first step is taken whole: it makes the mass balances hold.
    const bool first = steps == 0 && next.allFinite();
    if (!first && !(next.allFinite() && next.norm() <= 0.5 * rest.norm())) {
      const double wanted = 0.5 * std::abs(begin);
      double low = 0.0;
      double low_slope = begin;
      double high = 0.0;
      double high_slope = 0.0;
      for (int trials = 0; trials < 40; ++trials) {
        const double slope = next.allFinite() ? content_slope(task, step, next) : HUGE_VAL;
        if (std::abs(slope) <= wanted) break;
        if (slope < 0.0) {
          low = share;
          low_slope = slope;
          if (high > 0.0) high_slope *= 0.5;
        } else {
          high = share;
          high_slope = slope;
          low_slope *= 0.5;
        }
        if (high == 0.0) {
          share *= 4.0;
        } else if (std::isfinite(high_slope)) {
          share = low + (high - low) * std::clamp(low_slope / (low_slope - high_slope), 0.05, 0.95);
        } else {
          share = 0.5 * (low + high);
        }
        trial = at(share);
        next = residual_of(system, task.part, trial, none);
      }
      if (!next.allFinite()) return Termination::no_descent;
    }
    x = trial;
    rest = next;
  }
}

/// The air's own inertia: each flow is held back by a mass in its branch while time goes on in growing steps
/// (implicit Euler; step after the residual, Kelley & Keyes 1998, SIAM J. Numer. Anal. 35). It ends where the
/// flow in the car would settle.
Termination settle(const Task& task, int most, std::vector<double>& x) {
  const System& system = *task.system;
  const Eigen::VectorXd none = no_offset(task);
  Eigen::VectorXd rest = residual_of(system, task.part, x, none);
  if (!rest.allFinite()) return Termination::not_finite;
  double inertia = 1.0;
  for (int steps = 0;; ++steps) {
    if (largest(rest) <= 0.01 * task.options->tolerance) return Termination::converged;
    if (steps >= most || task.spent()) {
      return largest(rest) <= task.options->tolerance ? Termination::converged : Termination::iteration_limit;
    }
    ++*task.iterations;
    Sparse jacobian = jacobian_of(system, task.part, x);
    for (std::size_t i = 0; i < task.own.size(); ++i) {
      if (task.own[i] >= 0) jacobian.coeffRef(static_cast<Eigen::Index>(i), task.own[i]) -= inertia;
    }
    Eigen::VectorXd step;
    const bool solved = solve_linear(jacobian, -rest, step);
    const std::vector<double> trial = solved ? moved(system, task.part, x, step, 1.0) : x;
    const Eigen::VectorXd next = residual_of(system, task.part, trial, none);
    if (!solved || !next.allFinite() || (steps > 0 && next.norm() > 5.0 * rest.norm())) {
      inertia *= 8.0;
      if (inertia > 1e12) return Termination::no_descent;
      continue;
    }
    if (steps > 0) inertia *= std::clamp(next.norm() / rest.norm(), 0.1, 2.0);
    x = trial;
    rest = next;
  }
}

/// Newton's homotopy: F(x) = (1 - t) F(x_0) for t from 0 to 1, with steps that adapt.
Termination continue_from_start(const Task& task, std::vector<double>& x) {
  const Eigen::VectorXd start = residual_of(*task.system, task.part, x, no_offset(task));
  if (!start.allFinite()) return Termination::not_finite;
  double reached = 0.0;
  double step = 0.25;
  Termination last = Termination::no_descent;
  while (reached < 1.0 && step > 1e-4) {
    const double target = std::min(1.0, reached + step);
    std::vector<double> trial = x;
    const double tolerance = target < 1.0 ? 1e-6 : task.options->tolerance;
    last = newton(task, (1.0 - target) * start, tolerance, 50, trial);
    if (last == Termination::converged) {
      x = trial;
      reached = target;
      step *= 2.0;
    } else if (task.spent()) {
      return last;
    } else {
      step *= 0.25;
    }
  }
  return reached >= 1.0 ? Termination::converged : last;
}

/// Tries one way after the other from the same state until one converges.
Termination solve_part(const Task& task, std::vector<double>& x) {
  const bool flows = std::any_of(task.own.begin(), task.own.end(), [](auto column) { return column >= 0; });
  Termination ended = Termination::not_run;
  for (int way = 0; way < 4; ++way) {
    if ((way == 1 || way == 2) && !flows) continue;
    std::vector<double> trial = x;
    if (way == 0) ended = newton(task, no_offset(task), task.options->tolerance, 50, trial);
    if (way == 1) ended = descend(task, 100, trial);
    if (way == 2) ended = settle(task, 200, trial);
    if (way == 3) ended = continue_from_start(task, trial);
    if (ended == Termination::converged) {
      x = trial;
      return ended;
    }
    if (task.spent() || ended == Termination::not_finite) break;
  }
  return ended;
}

Task task_of(const System& system, bool flow, bool heat, const std::vector<int>& own_flow,
             const SolveOptions& options, int& iterations) {
  Task task{&system, part_of(system, flow, heat), {}, &options, &iterations};
  for (const std::size_t equation : task.part.equations) {
    const int own = own_flow.empty() ? -1 : own_flow[equation];
    task.own.push_back(own < 0 ? -1 : task.part.column[static_cast<std::size_t>(own)]);
  }
  return task;
}

/// By equation: the flow that the law of an element moves.
std::vector<int> own_flows(const Assembly& assembly) {
  std::map<std::string_view, int> flows;
  for (std::size_t e = 0; e < assembly.network->elements.size(); ++e) {
    flows.emplace(assembly.network->elements[e].name, assembly.places.flow[e]);
  }
  std::vector<int> own;
  for (const Equation& equation : assembly.system.equations()) {
    const auto found = flows.find(equation.name);
    own.push_back(equation.block == Block::flow && found != flows.end() ? found->second : -1);
  }
  return own;
}

void note_worst(const System& system, Solved& solved) {
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
}

Solved solve_system(const System& system, const std::vector<int>& own_flow, const std::vector<double>& start,
                    const SolveOptions& options) {
  Solved solved;
  solved.x = start;
  const auto part = [&](bool flow, bool heat) {
    const Task task = task_of(system, flow, heat, own_flow, options, solved.iterations);
    solved.termination = solve_part(task, solved.x);
  };
  part(true, false);
  part(false, true);
  // The stages only prepare: whatever they reached, the whole system decides.
  part(true, true);
  note_worst(system, solved);
  return solved;
}

}  // namespace

Solved solve(const System& system, const std::vector<double>& start, const SolveOptions& options) {
  return solve_system(system, {}, start, options);
}

Solved solve(const Assembly& assembly, const std::vector<double>& start, const SolveOptions& options) {
  return solve_system(assembly.system, own_flows(assembly), start, options);
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

std::vector<double> gradient(const System& system, const std::vector<double>& x, const Function& quantity) {
  const Part all = part_of(system, true, true);
  const Sparse jacobian = jacobian_of(system, all, x);
  std::vector<Slope> slopes;
  Eigen::VectorXd right = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(system.unknowns().size()));
  differentiate_unknowns(quantity, x, system.parameters(), slopes);
  for (const Slope& slope : slopes) {
    right[slope.index] += slope.value * system.unknowns()[static_cast<std::size_t>(slope.index)].scale;
  }
  Eigen::VectorXd adjoint;
  if (!solve_linear(Sparse(jacobian.transpose()), right, adjoint)) return {};
  std::vector<double> total(system.parameters().size(), 0.0);
  differentiate_parameters(quantity, x, system.parameters(), slopes);
  for (const Slope& slope : slopes) total[static_cast<std::size_t>(slope.index)] += slope.value;
  for (std::size_t i = 0; i < system.equations().size(); ++i) {
    const Equation& equation = system.equations()[i];
    const double weight = adjoint[static_cast<Eigen::Index>(i)] / equation.scale;
    if (weight == 0.0 || equation.residual.parameters.empty()) continue;
    differentiate_parameters(equation.residual, x, system.parameters(), slopes);
    for (const Slope& slope : slopes) total[static_cast<std::size_t>(slope.index)] -= weight * slope.value;
  }
  return total;
}

}  // namespace corefeed::network
