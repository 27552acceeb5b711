// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/solution.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <mutex>

#include "corefeed/cooling/absurd.hpp"
#include "corefeed/cooling/certificate.hpp"
#include "corefeed/cooling/quantities.hpp"
#include "corefeed/interruption.hpp"
#include "corefeed/network/adjoint.hpp"
#include "corefeed/network/loss_free.hpp"
#include "corefeed/network/newton.hpp"
#include "corefeed/network/operating_points.hpp"
#include "corefeed/network/solver.hpp"
#include "corefeed/network/workspace.hpp"

namespace corefeed::cooling {

struct Solution::Internals {
  Solved solved;
  // Made for the first gradient asked for; quantities then share its factors.
  mutable std::mutex mutex;
  mutable std::optional<network::Adjoint> adjoint;

  static Solution describe(const std::shared_ptr<Internals>& internals, const network::Solved& ended);

  std::vector<double> gradient(const network::Function& quantity) const {
    const std::lock_guard lock(mutex);
    if (!adjoint) adjoint.emplace(solved.assembly.system, solved.x);
    return adjoint->gradient(quantity);
  }
};

namespace {

std::vector<double> starts(const network::System& system) {
  std::vector<double> x;
  x.reserve(system.unknowns().size());
  for (const network::Unknown& unknown : system.unknowns()) x.push_back(unknown.start);
  return x;
}

/// Which loops have no steady temperature, and the cores through which the air stands nearly still.
std::string standstill(const Solved& solved, const Solution& solution) {
  const Case& problem = solved.problem;
  std::string text;
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    if (solution.loops[l].temperature < hottest_loop_temperature - 1e-3) continue;
    std::string cores;
    double given = 0.0;
    for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
      if (problem.loop_of[e] != static_cast<int>(l)) continue;
      given += *solution.value(problem.network.elements[e].name + ".heat");
      cores += fmt::format("{}{} ({:.2g} kg/s)", cores.empty() ? "" : ", ", problem.network.elements[e].name,
                           solution.elements[e].flow);
    }
    text += fmt::format(
        "{}the loop {} has no steady temperature below {:.0f} K, because too little air goes through {}: at "
        "that "
        "temperature it would give off {:.3g} kW of its {:.3g} kW",
        text.empty() ? "" : "; ", problem.loops[l].name, hottest_loop_temperature, cores, 1e-3 * given,
        1e-3 * problem.loops[l].heat_load);
  }
  return text;
}

void fill_states(const Solved& solved, Solution& solution) {
  const network::Network& net = solved.problem.network;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    solution.elements.push_back(element_state(solved, static_cast<int>(e)));
  }
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    solution.nodes.push_back({solved.x[static_cast<std::size_t>(solved.assembly.places.pressure[n])],
                              solved.x[static_cast<std::size_t>(solved.assembly.places.temperature[n])]});
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    solution.loops.push_back(loop_state(solved, static_cast<int>(l)));
  }
  solution.car = car_state(solved);
}

/// Whether any element may be one without a loss, as its state goes: most networks have none.
bool any_without_loss(const Solution& solution) {
  constexpr double least_loss = 1e-6;  // Pa
  return std::any_of(solution.elements.begin(), solution.elements.end(), [](const ElementState& element) {
    return std::abs(element.pressure_loss) < least_loss;
  });
}

/// Heat that enters a loop through which next to nothing flows has no steady temperature: what the equations
/// give then is no answer. "" where there is none such.
std::string still_liquid(const Case& problem, const Solution& solution) {
  std::string text;
  for (const Loop& loop : problem.loops) {
    if (!loop.is_network() || loop.heated_node == network::none) continue;
    const auto node = static_cast<std::size_t>(loop.heated_node);
    if (!(solution.nodes[node].temperature > absurd_temperature)) continue;
    text += fmt::format(
        "{}no steady state: the heat of the loop {} enters at {}, but only {:.3g} kg/s flow in the loop or "
        "its "
        "cores get no air, so it has no steady temperature",
        text.empty() ? "" : "; ", loop.name, problem.network.nodes[node].name,
        solution.elements[static_cast<std::size_t>(loop.first)].flow);
  }
  return text;
}

}  // namespace

/// Everything about the state that `internals` holds.
Solution Solution::Internals::describe(const std::shared_ptr<Internals>& internals,
                                       const network::Solved& ended) {
  const Solved& solved = internals->solved;
  Solution solution;
  solution.converged = ended.converged();
  solution.ending = solution.converged ? Ending::solved : Ending::not_converged;
  solution.residual = ended.residual;
  solution.iterations = ended.iterations;
  solution.explanation = network::explain(ended);
  fill_states(solved, solution);
  solution.internals_ = internals;
  solution.certificate = certificate_of(solved);
  const bool may_be_open = !solution.converged || any_without_loss(solution);
  const std::string fault = may_be_open ? network::loss_free_fault(*solved.assembly.network) : "";
  if (!fault.empty()) {
    solution.converged = false;
    solution.ending = Ending::undetermined_flow;
    solution.explanation = fault;
  }
  if (!solution.converged) return solution;
  if (!solution.certificate.met()) solution.explanation += "; " + solution.certificate.words();
  const std::string still = still_liquid(solved.problem, solution);
  const std::string unsteady = still.empty() ? standstill(solved, solution) : still;
  if (unsteady.empty()) return solution;
  solution.converged = false;
  solution.ending = Ending::no_steady_temperature;
  solution.explanation = unsteady;
  return solution;
}

namespace {

network::SolveOptions options_of(const SolveOptions& options) {
  return {.tolerance = options.tolerance, .most_iterations = options.most_iterations};
}

/// Whole Newton steps, each judged by the certificate alone, while the trace of outside air that a network
/// which stands still would see fades. Leaves the state that closes best; how well it does.
double polish(Solved& solved) {
  constexpr int most_steps = 20;
  network::System& system = solved.assembly.system;
  network::Workspace work(system);
  network::Newton newton(work);
  double best = certificate_of(solved).worst();
  Solved trial = solved;
  double trace = network::usual_trace;
  for (int step = 0; step < most_steps && best > network::Certificate::limit; ++step) {
    system.set_parameter(solved.assembly.places.trace, trace);
    if (!newton.whole_step(trial.x)) break;
    const double worst = certificate_of(trial).worst();
    trace = std::max(0.1 * trace, network::least_trace);
    if (!(worst < best)) continue;
    best = worst;
    solved.x = trial.x;
  }
  return best;
}

/// The system's residuals are measured on typical flows, and end where rounding in one of them ends Newton's
/// method; the certificate's balances on the flows of this state. Where those do not close, the state is
/// driven on until they do, at last from the start and by every way.
void tighten(Solved& solved, const SolveOptions& options, const network::Solved& ended, Solution& solution) {
  double worst = solution.certificate.worst();
  const bool found = solution.converged || solution.ending == Ending::no_steady_temperature;
  if (!found || solution.certificate.met() || !std::isfinite(worst)) return;
  for (const bool again : {false, true}) {
    auto internals = std::make_shared<Solution::Internals>();
    internals->solved = solved;
    if (again) {
      network::SolveOptions tight = options_of(options);
      tight.tolerance *= 0.01;
      const std::vector<double> start = starts(solved.assembly.system);
      internals->solved.x = network::solve(solved.assembly, start, tight).x;
    }
    const double closer = polish(internals->solved);
    if (closer < worst) {
      worst = closer;
      solved.x = internals->solved.x;
      solution = Solution::Internals::describe(internals, ended);
    }
    if (worst <= network::Certificate::limit) return;
  }
}

/// Adds what else the network can do, as far as it closes. Where one state alone is stable the car is in that
/// one.
void add_others(const Solved& solved, const network::Solved& ended, const SolveOptions& options,
                Solution& solution) {
  const std::vector<network::OperatingPoint> points =
      network::operating_points(solved.assembly, solved.x, options_of(options));
  std::vector<Solution> states{std::move(solution)};
  states.front().stable = points.front().stable;
  int open = 0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    auto internals = std::make_shared<Solution::Internals>();
    internals->solved = solved;
    internals->solved.x = points[i].x;
    // An operating point is found as closely as the system's residuals tell, like the first state.
    polish(internals->solved);
    Solution other = Solution::Internals::describe(internals, ended);
    if (!other.converged) continue;
    if (!other.certificate.met()) {
      ++open;
      continue;
    }
    other.stable = points[i].stable;
    states.push_back(std::move(other));
  }
  const auto stable = [](const Solution& one) { return one.stable; };
  const auto count = std::count_if(states.begin(), states.end(), stable);
  const auto best = count == 1 ? std::find_if(states.begin(), states.end(), stable) : states.begin();
  std::iter_swap(states.begin(), best);
  solution = std::move(states.front());
  solution.further.assign(std::make_move_iterator(states.begin() + 1), std::make_move_iterator(states.end()));
  if (!solution.further.empty()) {
    solution.explanation += fmt::format(
        "; {} operating points found, {} of them stable; not proved to be all", states.size(), count);
  } else if (!solution.stable) {
    solution.explanation += "; the flow does not stay in this state by itself";
  }
  if (open > 0) {
    solution.explanation += fmt::format("; {} more state{} left out, whose balances do not close", open,
                                        open == 1 ? " is" : "s are");
  }
}

}  // namespace

Solution solve(const Case& problem, const SolveOptions& options) {
  interruption_point();
  auto internals = std::make_shared<Solution::Internals>();
  Solved& solved = internals->solved;
  solved.problem = problem;
  mark_coupled(solved.problem);
  network::connect_neighbors(solved.problem.network);
  solved.assembly = network::assemble(std::make_shared<const network::Network>(solved.problem.network));
  solved.loops = add_loops(solved.problem, solved.assembly);
  const network::Solved ended =
      network::solve(solved.assembly, starts(solved.assembly.system), options_of(options));
  solved.x = ended.x;
  Solution solution = Solution::Internals::describe(internals, ended);
  tighten(solved, options, ended, solution);
  const bool search = options.look_for_others && network::may_have_several(solved.problem.network);
  if (solution.converged && search) add_others(solved, ended, options, solution);
  return solution;
}

bool Solution::is_unique() const {
  return stable &&
         std::none_of(further.begin(), further.end(), [](const Solution& one) { return one.stable; });
}

std::optional<double> Solution::value(std::string_view quantity) const {
  if (!internals_) return std::nullopt;
  const auto function = quantity_function(internals_->solved, quantity);
  if (!function) return std::nullopt;
  return network::evaluate(*function, internals_->solved.x, internals_->solved.assembly.system.parameters());
}

std::vector<Parameter> Solution::gradient(std::string_view quantity) const {
  std::vector<Parameter> list;
  if (!internals_) return list;
  const Solved& solved = internals_->solved;
  const auto function = quantity_function(solved, quantity);
  if (!function) return list;
  const std::vector<double> slopes = internals_->gradient(*function);
  if (slopes.empty()) return list;
  const auto& parts = solved.problem.network.elements;
  for (std::size_t e = 0; e < parts.size(); ++e) {
    for (std::size_t key = 0; key < parts[e].numbers.size(); ++key) {
      const auto place = static_cast<std::size_t>(solved.assembly.places.parameter[e]) + key;
      list.push_back({Parameter::Owner::element, static_cast<int>(e), key, slopes[place]});
    }
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    const int loop = static_cast<int>(l);
    const auto add = [&](std::size_t key, int place) {
      if (place == network::none) return;
      list.push_back({Parameter::Owner::loop, loop, key, slopes[static_cast<std::size_t>(place)]});
    };
    add(0, solved.loops.flow[l]);
    add(1, solved.loops.given(l));
    const int liquid = solved.problem.loops[l].liquid;
    if (liquid != network::none) add(2, solved.assembly.places.viscosity[static_cast<std::size_t>(liquid)]);
  }
  return list;
}

}  // namespace corefeed::cooling
