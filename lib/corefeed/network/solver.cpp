// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/solver.hpp"

#include <fmt/format.h>

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <map>
#include <string_view>

#include "corefeed/network/globalization.hpp"
#include "corefeed/network/homotopy.hpp"
#include "corefeed/network/newton.hpp"
#include "corefeed/network/workspace.hpp"

namespace corefeed::network {
namespace {

/// How well the stages are solved that only prepare the next.
constexpr double preparing_tolerance = 1e-2;
/// Newton steps of one way before the next is tried.
constexpr int most_of_one_way = 100;

/// A part of the system on its way to a solution.
class Stage {
 public:
  Stage(const System& system, const Laws& laws, Moving moving)
      : work_(system, moving), newton_(work_), globalization_(work_, laws) {}

  /// Newton's method alone. x is left as it was where that fails.
  Termination try_newton(std::vector<double>& x, const SolveOptions& options, int& iterations);

  /// One way after the other from the same state until one gets there.
  Termination solve(std::vector<double>& x, const SolveOptions& options, int& iterations);

 private:
  Termination continue_from_start(std::vector<double>& x, const SolveOptions& options, int& iterations);

  Workspace work_;
  Newton newton_;
  Globalization globalization_;
};

/// The options with what is left of the steps, for one way.
SolveOptions share_of(const SolveOptions& options, int iterations) {
  SolveOptions share = options;
  share.most_iterations = std::min(most_of_one_way, options.most_iterations - iterations);
  return share;
}

Termination Stage::try_newton(std::vector<double>& x, const SolveOptions& options, int& iterations) {
  std::vector<double> trial = x;
  const Newton::Ended ended = newton_.run(trial, share_of(options, iterations));
  iterations += ended.iterations;
  if (ended.converged()) x = trial;
  return ended.termination;
}

/// Newton's homotopy: F(x) = (1 - t) F(x_0) for t from 0 to 1, with steps that adapt.
Termination Stage::continue_from_start(std::vector<double>& x, const SolveOptions& options, int& iterations) {
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
    SolveOptions share = share_of(options, iterations);
    if (target < 1.0) share.tolerance = std::max(options.tolerance, 1e-6);
    const Newton::Ended ended = newton_.run(trial, share, {offset.data(), work_.size()});
    iterations += ended.iterations;
    last = ended.termination;
    if (ended.converged()) {
      x = trial;
      reached = target;
      step *= 2.0;
    } else if (iterations >= options.most_iterations) {
      return Termination::iteration_limit;
    } else {
      step *= 0.25;
    }
  }
  return reached >= 1.0 ? Termination::converged : last;
}

Termination Stage::solve(std::vector<double>& x, const SolveOptions& options, int& iterations) {
  enum class Way { newton, descend, settle, release, continuation };
  Termination ended = Termination::not_run;
  for (const Way way : {Way::newton, Way::descend, Way::settle, Way::release, Way::continuation}) {
    if (way == Way::newton) {
      ended = try_newton(x, options, iterations);
    } else if (way == Way::continuation) {
      std::vector<double> trial = x;
      ended = continue_from_start(trial, options, iterations);
      if (ended == Termination::converged) x = trial;
    } else if (way == Way::release && globalization_.has_laws()) {
      std::vector<double> trial = x;
      SolveOptions share = options;
      share.most_iterations = std::min(5 * most_of_one_way, options.most_iterations - iterations);
      const Globalization::Ended last = globalization_.release(trial, share);
      iterations += last.iterations;
      ended = last.termination;
      if (ended == Termination::converged) ended = try_newton(trial, options, iterations);
      if (ended == Termination::converged) x = trial;
    } else if (globalization_.has_laws()) {
      std::vector<double> trial = x;
      const SolveOptions share = share_of(options, iterations);
      const Globalization::Ended last =
          way == Way::descend ? globalization_.descend(trial, share) : globalization_.settle(trial, share);
      iterations += last.iterations;
      ended = last.termination;
      if (ended == Termination::converged) x = trial;
    }
    if (ended == Termination::converged || ended == Termination::not_finite) return ended;
    if (iterations >= options.most_iterations) return Termination::iteration_limit;
  }
  return ended;
}

/// The three stages, and what they cost together.
class Search {
 public:
  Search(const System& system, const Laws& laws, const SolveOptions& options)
      : options_(options),
        flow_(system, laws, {.flow = true, .heat = false}),
        heat_(system, laws, {.flow = false, .heat = true}),
        all_(system, laws, {}),
        laws_(laws) {}

  /// Roughly the flow, roughly the heat, then all together: what nearly always does.
  Termination quickly(std::vector<double>& x) {
    SolveOptions rough = options_;
    rough.tolerance = std::max(options_.tolerance, preparing_tolerance);
    flow_.try_newton(x, rough, iterations);
    heat_.try_newton(x, rough, iterations);
    return all_.try_newton(x, options_, iterations);
  }

  /// The flow as well as it can be had, the heat that belongs to it, then all together by every way.
  Termination carefully(std::vector<double>& x) {
    flow_.solve(x, options_, iterations);
    heat_.solve(x, options_, iterations);
    return all_.solve(x, options_, iterations);
  }

  /// The homotopy, as far as six times such a number of steps leads, from draw after draw; Newton's method
  /// ends it.
  Termination at_last(std::vector<double>& x, const System& system);

  bool spent() const { return iterations >= options_.most_iterations; }

  int iterations = 0;

 private:
  SolveOptions options_;
  Stage flow_;
  Stage heat_;
  Stage all_;
  const Laws& laws_;
};

Termination Search::at_last(std::vector<double>& x, const System& system) {
  // One in some hundred thousand random networks needs more than a few.
  constexpr std::uint64_t draws = 24;
  Workspace work(system);
  Homotopy homotopy(work, laws_);
  Termination ended = Termination::no_descent;
  int left = 6 * options_.most_iterations;
  for (std::uint64_t draw = 1; draw <= draws && left > 0 && homotopy.is_possible(); ++draw) {
    std::vector<double> trial = x;
    const Homotopy::Ended last = homotopy.follow(trial, draw, left);
    left -= last.iterations;
    iterations += last.iterations;
    if (last.termination != Termination::converged) continue;
    ended = Newton(work).run(trial, options_).termination;
    if (ended != Termination::converged) continue;
    x = trial;
    return ended;
  }
  return ended;
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

Solved solve_system(const System& system, const Laws& laws, const std::vector<double>& start,
                    const SolveOptions& options) {
  Solved solved;
  solved.x = start;
  Search search(system, laws, options);
  solved.termination = search.quickly(solved.x);
  if (!solved.converged() && solved.termination != Termination::not_finite && !search.spent()) {
    solved.x = start;
    solved.termination = search.carefully(solved.x);
    if (!solved.converged()) {
      std::vector<double> x = start;
      if (search.at_last(x, system) == Termination::converged) {
        solved.x = std::move(x);
        solved.termination = Termination::converged;
      }
    }
  }
  solved.iterations = search.iterations;
  note_worst(system, solved);
  return solved;
}

/// What each equation moves: a law its element's flow, a balance its node's pressure or the temperature of
/// its node or loop. Names are unique over all of them.
Laws laws_of(const Assembly& assembly) {
  std::map<std::string, int> temperatures;
  std::map<std::string_view, int> flows;
  for (std::size_t e = 0; e < assembly.network->elements.size(); ++e) {
    flows.emplace(assembly.network->elements[e].name, assembly.places.flow[e]);
  }
  const auto& unknowns = assembly.system.unknowns();
  for (std::size_t j = 0; j < unknowns.size(); ++j) {
    if (unknowns[j].block == Block::heat) temperatures.emplace(unknowns[j].name, static_cast<int>(j));
  }
  std::map<std::string_view, int> pressures;
  for (std::size_t n = 0; n < assembly.network->nodes.size(); ++n) {
    const Node& node = assembly.network->nodes[n];
    if (node.kind == NodeKind::fixed_pressure || node.holds_pressure) continue;
    pressures.emplace(node.name, assembly.places.pressure[n]);
  }
  Laws laws;
  for (const Equation& equation : assembly.system.equations()) {
    const auto flow = flows.find(equation.name);
    const auto pressure = pressures.find(equation.name);
    const auto temperature = temperatures.find(equation.name + ".temperature");
    const bool law = equation.block == Block::flow && flow != flows.end();
    const bool balance = equation.block == Block::heat && temperature != temperatures.end();
    const bool mass = equation.block == Block::flow && pressure != pressures.end();
    laws.own_flow.push_back(law ? flow->second : -1);
    laws.own_pressure.push_back(mass ? pressure->second : -1);
    laws.own_temperature.push_back(balance ? temperature->second : -1);
  }
  return laws;
}

}  // namespace

Solved solve(const System& system, const std::vector<double>& start, const SolveOptions& options) {
  return solve_system(system, {}, start, options);
}

Solved solve(const Assembly& assembly, const std::vector<double>& start, const SolveOptions& options) {
  return solve_system(assembly.system, laws_of(assembly), start, options);
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
