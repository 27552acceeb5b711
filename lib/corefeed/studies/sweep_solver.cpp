// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <list>
#include <map>

#include "corefeed/cooling/absurd.hpp"
#include "corefeed/cooling/sweep.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/zones.hpp"
#include "corefeed/studies/in_order.hpp"
#include "corefeed/studies/runaway.hpp"
#include "corefeed/studies/sweep.hpp"
#include "corefeed/studies/sweep_parts.hpp"

namespace corefeed::studies {
namespace {

/// A temperature that must stay below a limit for the row to have a steady state.
struct Limited {
  std::string quantity;
  double limit;  ///< K
  std::string loop;
};

/// As `solve_point` judges: no loop hotter than an answer may be, no heat into a liquid that stands still.
std::vector<Limited> limits_of(const cooling::Case& problem) {
  std::vector<Limited> limits;
  for (const cooling::Loop& loop : problem.loops) {
    limits.push_back({loop.name + ".temperature", hottest_believed, loop.name});
    if (loop.heated_node == network::none) continue;
    const std::string& node = problem.network.nodes[static_cast<std::size_t>(loop.heated_node)].name;
    limits.push_back({node + ".temperature", cooling::absurd_temperature, loop.name});
  }
  return limits;
}

/// The equations for rows that have the same numbers but for those that can be set.
struct Equations {
  std::vector<double> key;  ///< the asked point, then the values of all inputs that cannot be set
  std::vector<std::size_t> inputs;
  std::vector<Limited> limits;
  cooling::BlockSolver solver;
};

/// Sets of equations kept at hand: memory does not grow with the sweep.
constexpr std::size_t most_equations = 16;

}  // namespace

struct SweepSolver::Internals {
  std::shared_ptr<const PlannedSweep> plan;
  model::Model model;               ///< takes the numbers of rows
  std::vector<std::size_t> judged;  ///< elements with a number swept over that may contradict others
  std::vector<std::size_t> wholes;  ///< cores whose parts' shares are swept over
  std::list<Equations> equations;   ///< the last used first

  explicit Internals(std::shared_ptr<const PlannedSweep> planned)
      : plan(std::move(planned)), model(*plan->model) {
    for (const SweptNumber& number : plan->numbers) {
      if (number.parameter.owner != model::Parameter::Owner::element) continue;
      const model::Element& element = model.elements[number.parameter.index];
      const bool part = !element.whole.empty();
      const std::size_t watched =
          part ? static_cast<std::size_t>(model.find_element(element.whole) - model.elements.data())
               : number.parameter.index;
      std::vector<std::size_t>& list = part ? wholes : judged;
      if (std::find(list.begin(), list.end(), watched) == list.end()) list.push_back(watched);
    }
  }

  void set_row(std::size_t row, bool elements_alone = false) {
    for (std::size_t input = 0; input < plan->numbers.size(); ++input) {
      const model::Parameter& parameter = plan->numbers[input].parameter;
      if (elements_alone && parameter.owner != model::Parameter::Owner::element) continue;
      model::set_parameter(model, parameter, plan->value(row, input));
    }
  }

  std::size_t asked_point(std::size_t row) const { return row / plan->rows_of_point; }
  const PointGroup& group(std::size_t row) const { return plan->groups[plan->group_of[asked_point(row)]]; }

  std::vector<double> key_of(std::size_t row) const {
    std::vector<double> key{static_cast<double>(asked_point(row))};
    const std::vector<Way>& ways = group(row).ways;
    for (std::size_t input = 0; input < ways.size(); ++input) {
      if (ways[input] == Way::rebuilt) key.push_back(plan->value(row, input));
    }
    return key;
  }

  Equations make_equations(std::vector<double> key, std::size_t row);
  Equations& equations_for(const std::vector<double>& key, std::size_t row);
  void judge(std::size_t row, SweptRows& swept, std::vector<std::size_t>& together,
             std::vector<std::size_t>& alone);
  void solve_alone(std::size_t row, SweptRows& swept);
  void solve_together(Equations& with, const std::vector<std::size_t>& rows, SweptRows& swept);
  SweptRows solve(std::size_t block);
};

/// Blocks begin in the middle of what can be set, so that no row of the key is far; the equations are weighed
/// at the lowest speed.
Equations SweepSolver::Internals::make_equations(std::vector<double> key, std::size_t row) {
  const std::vector<Way>& ways = group(row).ways;
  std::vector<std::size_t> inputs;
  std::vector<std::string> names;
  std::vector<double> begin;
  for (std::size_t input = 0; input < ways.size(); ++input) {
    const bool set = ways[input] == Way::direct;
    const std::string& name = plan->inputs[input].name;
    double value = set ? plan->middle(input) : plan->value(row, input);
    if (set) {
      inputs.push_back(input);
      names.push_back(name);
      begin.push_back(value);
      if (name == "speed") value = plan->bounds[input].first;
    }
    model::set_parameter(model, plan->numbers[input].parameter, value);
  }
  const cooling::Case problem = model::build(model, model.points[plan->points[asked_point(row)]]).problem;
  std::vector<Limited> limits = limits_of(problem);
  std::vector<std::string> outputs = plan->question.shown;
  for (const Limited& one : limits) outputs.push_back(one.quantity);
  return {std::move(key), std::move(inputs), std::move(limits),
          cooling::BlockSolver(problem, names, outputs, plan->question.solver, begin)};
}

Equations& SweepSolver::Internals::equations_for(const std::vector<double>& key, std::size_t row) {
  const auto known = std::find_if(equations.begin(), equations.end(),
                                  [&key](const Equations& one) { return one.key == key; });
  if (known != equations.end()) {
    equations.splice(equations.begin(), equations, known);
  } else {
    if (equations.size() == most_equations) equations.pop_back();
    equations.push_front(make_equations(key, row));
  }
  return equations.front();
}

/// Where a row belongs: to those without an answer, to those that are solved together, or alone.
void SweepSolver::Internals::judge(std::size_t row, SweptRows& swept, std::vector<std::size_t>& together,
                                   std::vector<std::size_t>& alone) {
  bool several = group(row).several;
  std::string fault;
  if (!judged.empty() || !wholes.empty()) set_row(row, true);
  for (const std::size_t index : judged) {
    const model::Element& element = model.elements[index];
    const losses::Kind& kind = *element.numbers.kind;
    const std::string found =
        kind.contradiction == nullptr ? "" : kind.contradiction(element.numbers.values());
    if (fault.empty() && !found.empty()) fault = element.name + ": " + found;
    several = several || (kind.monotone_of != nullptr && !kind.monotone_of(element.numbers.values()));
  }
  for (const std::size_t index : wholes) {
    // As the reader of models has it.
    constexpr double least_left = 1e-6;
    if (fault.empty() && !(model::share_left(model, model.elements[index]) > least_left))
      fault = fmt::format("{}: its parts leave nothing of it", model.elements[index].name);
  }
  if (!fault.empty()) {
    swept.reasons[row - swept.first] = "the numbers contradict each other: " + fault;
  } else {
    (several ? alone : together).push_back(row);
  }
}

/// The whole search that a single solution gets.
void SweepSolver::Internals::solve_alone(std::size_t row, SweptRows& swept) {
  set_row(row);
  PointResult result;
  result.built = model::build(model, model.points[plan->points[asked_point(row)]]);
  result.solution = cooling::solve(result.built.problem, plan->question.solver);
  refuse_runaway(result);
  const cooling::Solution& solution = result.solution;
  std::string& reason = swept.reasons[row - swept.first];
  if (!solution.converged) {
    reason = solution.explanation;
  } else if (!solution.further.empty()) {
    reason = fmt::format("{} operating points are possible", solution.further.size() + 1);
  } else if (!solution.stable) {
    reason = "the flow does not stay in this state by itself";
  }
  if (!reason.empty()) return;
  const std::size_t width = plan->shown.size();
  for (std::size_t i = 0; i < width; ++i) {
    swept.values[(row - swept.first) * width + i] =
        solution.value(plan->shown[i].name).value_or(std::nan(""));
  }
}

void SweepSolver::Internals::solve_together(Equations& with, const std::vector<std::size_t>& rows,
                                            SweptRows& swept) {
  const std::size_t shown = plan->shown.size();
  const std::size_t width = shown + with.limits.size();
  std::vector<double> values;
  for (const std::size_t row : rows) {
    for (const std::size_t input : with.inputs) values.push_back(plan->value(row, input));
  }
  std::vector<double> results(rows.size() * width);
  std::vector<char> converged(rows.size());
  with.solver.solve(values, results, converged);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double* const found = results.data() + i * width;
    if (converged[i] == 0) {
      // What is missed from nearby may be found from the start; else this says why there is none.
      solve_alone(rows[i], swept);
      continue;
    }
    std::string& reason = swept.reasons[rows[i] - swept.first];
    for (std::size_t l = 0; l < with.limits.size() && reason.empty(); ++l) {
      if (!(found[shown + l] < with.limits[l].limit))
        reason = fmt::format("the loop {} has no steady temperature", with.limits[l].loop);
    }
    if (reason.empty())
      std::copy_n(found, shown,
                  swept.values.begin() + static_cast<std::ptrdiff_t>((rows[i] - swept.first) * shown));
  }
}

SweptRows SweepSolver::Internals::solve(std::size_t block) {
  SweptRows swept;
  swept.first = std::min(block * plan->block_rows, plan->rows());
  const std::size_t count = std::min(plan->block_rows, plan->rows() - swept.first);
  swept.values.assign(count * plan->shown.size(), std::nan(""));
  swept.reasons.resize(count);
  std::map<std::vector<double>, std::vector<std::size_t>> by_key;
  for (std::size_t row = swept.first; row < swept.first + count; ++row) by_key[key_of(row)].push_back(row);
  for (const auto& [key, rows] : by_key) {
    std::vector<std::size_t> together, alone;
    for (const std::size_t row : rows) judge(row, swept, together, alone);
    for (const std::size_t row : alone) solve_alone(row, swept);
    if (!together.empty()) solve_together(equations_for(key, together.front()), together, swept);
  }
  return swept;
}

SweepSolver::SweepSolver(const SweepPlan& plan) : internals_(std::make_unique<Internals>(plan.planned_)) {}
SweepSolver::~SweepSolver() = default;
SweepSolver::SweepSolver(SweepSolver&&) noexcept = default;

SweptRows SweepSolver::solve(std::size_t block) { return internals_->solve(block); }

SweptRows sweep(const SweepPlan& plan, int jobs) {
  SweptRows all;
  const auto start = [&plan] {
    const auto solver = std::make_shared<SweepSolver>(plan);
    return [solver](std::size_t block) { return solver->solve(block); };
  };
  in_order(0, plan.blocks(), jobs, start, [&all](std::size_t, SweptRows rows) {
    all.values.insert(all.values.end(), rows.values.begin(), rows.values.end());
    std::move(rows.reasons.begin(), rows.reasons.end(), std::back_inserter(all.reasons));
    return true;
  });
  return all;
}

}  // namespace corefeed::studies
