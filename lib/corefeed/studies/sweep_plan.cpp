// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <limits>

#include "corefeed/model/build.hpp"
#include "corefeed/model/nearest.hpp"
#include "corefeed/studies/rules.hpp"
#include "corefeed/studies/study.hpp"
#include "corefeed/studies/sweep.hpp"
#include "corefeed/studies/sweep_parts.hpp"

namespace corefeed::studies {
namespace {

/// Finds the parameters of all axes; a number is swept once.
std::vector<Issue> take_numbers(PlannedSweep& plan) {
  std::vector<Issue> issues;
  if (plan.question.axes.empty())
    issues.push_back(usage("no_axis", "nothing to sweep over; name a number and its values"));
  for (std::size_t a = 0; a < plan.question.axes.size(); ++a) {
    const SweepAxis& axis = plan.question.axes[a];
    for (std::size_t place = 0; place < axis.names.size(); ++place) {
      const Result<model::Parameter> found = model::find_parameter(*plan.model, axis.names[place]);
      if (!found) {
        issues.push_back(found.issues().front());
        continue;
      }
      const model::Parameter& parameter = found.value();
      for (const SweepColumn& known : plan.inputs) {
        if (known.name != parameter.name) continue;
        issues.push_back(
            usage("duplicate_parameter", fmt::format("{} is swept over twice; give all its values "
                                                     "in one place",
                                                     quoted(parameter.name))));
      }
      for (std::size_t row = 0; row < axis.rows(); ++row) {
        const auto outside = model::out_of_bounds(parameter, axis.values[row * axis.names.size() + place]);
        if (!outside) continue;
        issues.push_back(*outside);
        break;
      }
      plan.inputs.push_back({parameter.name, parameter.quantity});
      plan.numbers.push_back({parameter, a, place});
    }
  }
  return issues;
}

/// Numbers that the model did not give may not stand beside others of their element, or need others.
std::vector<Issue> check_rules(const PlannedSweep& plan) {
  model::Model model = *plan.model;
  std::vector<model::Parameter> given;
  for (std::size_t input = 0; input < plan.numbers.size(); ++input) {
    given.push_back(plan.numbers[input].parameter);
    model::set_parameter(model, given.back(), plan.middle(input));
  }
  return broken_rules(model, given, "with the numbers swept over");
}

std::vector<Issue> take_points(PlannedSweep& plan) {
  const std::vector<std::string>& wanted = plan.question.points;
  std::vector<std::string> known;
  for (std::size_t i = 0; i < plan.model->points.size(); ++i) {
    const std::string& name = plan.model->points[i].name;
    known.push_back(name);
    if (wanted.empty() || std::find(wanted.begin(), wanted.end(), name) != wanted.end())
      plan.points.push_back(i);
  }
  std::vector<Issue> issues;
  for (const std::string& name : wanted) {
    if (std::find(known.begin(), known.end(), name) != known.end()) continue;
    issues.push_back(usage("unknown_point", fmt::format("the model has no point {}; there are: {}",
                                                        quoted(name), fmt::join(known, ", "))));
  }
  plan.question.points.clear();
  for (const std::size_t point : plan.points) plan.question.points.push_back(known[point]);
  return issues;
}

bool is_input(const PlannedSweep& plan, const std::string& name) {
  return std::any_of(plan.inputs.begin(), plan.inputs.end(),
                     [&name](const SweepColumn& input) { return input.name == name; });
}

/// The quantities asked for; else those of interest, but for what is an input and has its column.
std::vector<Issue> take_shown(PlannedSweep& plan) {
  const model::Model& model = *plan.model;
  const auto names = cooling::quantity_names(model::build(model, model.points.front()).problem);
  std::vector<std::string_view> known;
  known.reserve(names.size());
  for (const cooling::NamedQuantity& one : names) known.push_back(one.name);
  const bool asked = !plan.question.shown.empty();
  std::vector<Issue> issues;
  for (const std::string& name : asked ? plan.question.shown : quantities_of_interest(model)) {
    const auto found = std::find(known.begin(), known.end(), name);
    if (found == known.end()) {
      const std::string near = model::nearest(name, known);
      issues.push_back(
          usage("unknown_quantity",
                fmt::format("there is no quantity {}{}", quoted(name),
                            near.empty() ? "" : fmt::format("; did you mean {}?", quoted(near)))));
      continue;
    }
    const bool twice = std::any_of(plan.shown.begin(), plan.shown.end(),
                                   [&name](const SweepColumn& one) { return one.name == name; });
    const bool input = is_input(plan, name);
    if (asked && (twice || input)) {
      issues.push_back(
          usage("duplicate_column",
                fmt::format("{} {}", quoted(name),
                            input ? "is swept over and has its column already" : "is to be shown twice")));
    }
    if (!twice && !input)
      plan.shown.push_back({name, names[static_cast<std::size_t>(found - known.begin())].quantity});
  }
  plan.question.shown.clear();
  for (const SweepColumn& one : plan.shown) plan.question.shown.push_back(one.name);
  return issues;
}

/// How many rows there are; nothing where they are too many to count.
std::vector<Issue> take_rows(PlannedSweep& plan) {
  std::size_t rows = plan.points.size();
  plan.stride.assign(plan.question.axes.size(), 1);
  for (std::size_t a = plan.question.axes.size(); a-- > 0;) {
    const std::size_t more = plan.question.axes[a].rows();
    plan.stride[a] = plan.rows_of_point;
    if (more == 0)
      return {usage("bad_range", fmt::format("{} has no values", plan.question.axes[a].names.front()))};
    if (rows > SweepPlan::most_rows / more) {
      return {
          usage("too_many_rows", fmt::format("the sweep has more than {} rows; take fewer values, or sweep "
                                             "in parts",
                                             SweepPlan::most_rows))};
    }
    rows *= more;
    plan.rows_of_point *= more;
  }
  return {};
}

/// Rows of a block: runs of up to 64 for each place of the batch, but enough blocks to share out. Where
/// numbers for which the equations are set up anew move faster than others, a block takes several of their
/// rounds, so that a set of equations serves more than one row. Rows that stand alone make small blocks.
std::size_t rows_of_block(const PlannedSweep& plan) {
  constexpr std::size_t at_once = 8;
  constexpr std::size_t longest_run = 64;
  constexpr std::size_t least_blocks = 16;
  constexpr std::size_t most_rows = 65536;
  const std::size_t run = std::clamp<std::size_t>(plan.rows() / (at_once * least_blocks), 1, longest_run);
  std::size_t round = 1;
  bool any_direct = false;
  bool any_several = false;
  for (const PointGroup& group : plan.groups) {
    any_several = any_several || group.several;
    std::vector<bool> moves_equations(plan.stride.size(), false), moves_numbers(plan.stride.size(), false);
    for (std::size_t input = 0; input < group.ways.size(); ++input) {
      if (group.ways[input] == Way::rebuilt) moves_equations[plan.numbers[input].axis] = true;
      if (group.ways[input] == Way::direct) moves_numbers[plan.numbers[input].axis] = true;
    }
    std::size_t of_group = 1;
    bool faster = true;
    for (std::size_t a = plan.stride.size(); a-- > 0;) {
      any_direct = any_direct || moves_numbers[a];
      faster = faster && !moves_numbers[a];
      if (faster && moves_equations[a]) of_group = plan.stride[a] * plan.question.axes[a].rows();
    }
    if (!faster) round = std::max(round, of_group);
  }
  if (!any_direct) return at_once;
  if (any_several) return at_once * std::min<std::size_t>(run, 8);
  const std::size_t usual = at_once * run;
  if (round == 1 || round >= most_rows) return usual;
  return std::min(round * run, most_rows / round * round);
}

}  // namespace

Result<SweepPlan> SweepPlan::make(const model::Model& model, SweepQuestion question) {
  auto planned = std::make_shared<PlannedSweep>();
  planned->model = &model;
  planned->question = std::move(question);
  std::vector<Issue> issues;
  for (const auto step : {&take_numbers, &take_points, &take_shown, &take_rows}) {
    std::vector<Issue> found = step(*planned);
    std::move(found.begin(), found.end(), std::back_inserter(issues));
  }
  if (issues.empty()) issues = check_rules(*planned);
  if (!issues.empty()) return issues;
  find_ways(*planned);
  planned->block_rows = rows_of_block(*planned);
  return SweepPlan(std::move(planned));
}

SweepPlan::SweepPlan(std::shared_ptr<const PlannedSweep> planned) : planned_(std::move(planned)) {}

const model::Model& SweepPlan::model() const { return *planned_->model; }
const SweepQuestion& SweepPlan::question() const { return planned_->question; }
const std::vector<SweepColumn>& SweepPlan::inputs() const { return planned_->inputs; }
const std::vector<SweepColumn>& SweepPlan::shown() const { return planned_->shown; }
const std::vector<Issue>& SweepPlan::warnings() const { return planned_->warnings; }
std::size_t SweepPlan::rows() const { return planned_->rows(); }
const std::string& SweepPlan::point(std::size_t row) const {
  return planned_->model->points[planned_->points[row / planned_->rows_of_point]].name;
}
double SweepPlan::input(std::size_t row, std::size_t column) const { return planned_->value(row, column); }
std::size_t SweepPlan::blocks() const {
  return (planned_->rows() + planned_->block_rows - 1) / planned_->block_rows;
}
std::size_t SweepPlan::block_begin(std::size_t block) const {
  return std::min(block * planned_->block_rows, planned_->rows());
}

}  // namespace corefeed::studies
