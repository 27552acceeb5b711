// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/solver.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>

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

/// Damped Newton on a part. The residual of `offset` counts as zero.
Termination newton(const System& system, const Part& part, const Eigen::VectorXd& offset,
                   const SolveOptions& options, std::vector<double>& x, int& iterations) {
  Eigen::VectorXd rest = residual_of(system, part, x, offset);
  if (!rest.allFinite()) return Termination::not_finite;
  const auto largest = [](const Eigen::VectorXd& v) {
    return v.size() == 0 ? 0.0 : v.lpNorm<Eigen::Infinity>();
  };
  while (true) {
    const double before = largest(rest);
    // Below a hundredth of the tolerance further steps only shuffle rounding.
    if (before <= 0.01 * options.tolerance) return Termination::converged;
    const bool good_enough = before <= options.tolerance;
    if (iterations >= options.most_iterations) {
      return good_enough ? Termination::converged : Termination::iteration_limit;
    }
    Eigen::VectorXd step;
    if (!solve_linear(jacobian_of(system, part, x), -rest, step)) {
      return good_enough ? Termination::converged : Termination::singular;
    }
    ++iterations;
    double share = 1.0;
    bool accepted = false;
    while (!accepted && share > 1e-7) {
      const std::vector<double> trial = moved(system, part, x, step, share);
      const Eigen::VectorXd next = residual_of(system, part, trial, offset);
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

/// Newton's homotopy: F(x) = (1 - t) F(x_0) for t from 0 to 1, with steps that adapt.
Termination continue_from_start(const System& system, const Part& part, const SolveOptions& options,
                                std::vector<double>& x, int& iterations) {
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(part.equations.size()));
  const Eigen::VectorXd start = residual_of(system, part, x, none);
  if (!start.allFinite()) return Termination::not_finite;
  double reached = 0.0;
  double step = 0.25;
  Termination last = Termination::no_descent;
  while (reached < 1.0 && step > 1e-4) {
    const double target = std::min(1.0, reached + step);
    std::vector<double> trial = x;
    SolveOptions rough = options;
    if (target < 1.0) rough.tolerance = 1e-6;
    last = newton(system, part, (1.0 - target) * start, rough, trial, iterations);
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

Termination solve_part(const System& system, const Part& part, const SolveOptions& options,
                       std::vector<double>& x, int& iterations) {
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(part.equations.size()));
  std::vector<double> trial = x;
  Termination ended = newton(system, part, none, options, trial, iterations);
  if (ended != Termination::converged && ended != Termination::iteration_limit) {
    trial = x;
    ended = continue_from_start(system, part, options, trial, iterations);
  }
  if (ended == Termination::converged) x = trial;
  return ended;
}

}  // namespace

Solved solve(const System& system, const std::vector<double>& start, const SolveOptions& options) {
  Solved solved;
  solved.x = start;
  solve_part(system, part_of(system, true, false), options, solved.x, solved.iterations);
  solve_part(system, part_of(system, false, true), options, solved.x, solved.iterations);
  // The stages only prepare: whatever they reached, the whole system decides.
  solved.termination = solve_part(system, part_of(system, true, true), options, solved.x, solved.iterations);
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
