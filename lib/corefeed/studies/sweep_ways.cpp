// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "corefeed/cooling/prepared.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/studies/sweep_parts.hpp"

namespace corefeed::studies {
namespace {

/// All that decides how numbers reach the equations, but no number: states of the fans, what the point gives.
std::string shape_of(const model::Point& point) {
  std::string shape = fmt::format("{}", point.shaft_power.has_value());
  for (const auto& [fan, state] : point.fans) shape += fmt::format("/{}={}", fan, static_cast<int>(state));
  for (const auto& [loop, load] : point.heat_load) shape += "/heat_load." + loop;
  for (const auto& [opening, cp] : point.cp) shape += "/cp." + opening;
  return shape;
}

std::pair<double, double> bounds_of(const PlannedSweep& plan, std::size_t input) {
  const SweptNumber& number = plan.numbers[input];
  const SweepAxis& axis = plan.question.axes[number.axis];
  std::pair<double, double> bounds{axis.values[number.place], axis.values[number.place]};
  for (std::size_t row = 0; row < axis.rows(); ++row) {
    const double value = axis.values[row * axis.names.size() + number.place];
    bounds = {std::min(bounds.first, value), std::max(bounds.second, value)};
  }
  return bounds;
}

/// The equations of a model at a point, with all quantities that are shown.
cooling::Prepared equations_of(const PlannedSweep& plan, const model::Model& model, std::size_t point) {
  cooling::Prepared equations(model::build(model, model.points[point]).problem, plan.question.solver);
  for (const SweepColumn& shown : plan.shown) equations.output(shown.name);
  return equations;
}

/// Sets the equations up with the input's lowest value and with its highest, and looks whether setting the
/// number alone leads from the one to the other.
Way way_of(const PlannedSweep& plan, model::Model& model, std::size_t point, std::size_t input) {
  const SweptNumber& number = plan.numbers[input];
  const auto [lowest, highest] = plan.bounds[input];
  if (lowest == highest) return Way::rebuilt;
  const double middle = model::parameter_value(model, number.parameter);
  model::set_parameter(model, number.parameter, lowest);
  cooling::Prepared from = equations_of(plan, model, point);
  model::set_parameter(model, number.parameter, highest);
  cooling::Prepared to = equations_of(plan, model, point);
  model::set_parameter(model, number.parameter, middle);
  to.solve();
  if (from.is_same_as(to)) return Way::idle;
  const auto place = from.input(number.parameter.name);
  if (!place) return Way::rebuilt;
  from.set(*place, highest);
  return from.is_same_as(to) ? Way::direct : Way::rebuilt;
}

void warn_of_idle(PlannedSweep& plan, const PointGroup& group, const std::string& point) {
  for (std::size_t input = 0; input < group.ways.size(); ++input) {
    if (group.ways[input] != Way::idle) continue;
    const std::string& name = plan.numbers[input].parameter.name;
    Issue issue =
        usage("no_effect", fmt::format("{} moves nothing at the point {}, which has a number of its "
                                       "own in its place, or where nothing reads it",
                                       name, quoted(point)));
    issue.severity = Severity::warning;
    plan.warnings.push_back(std::move(issue));
  }
}

}  // namespace

void find_ways(PlannedSweep& plan) {
  model::Model model = *plan.model;
  for (std::size_t input = 0; input < plan.numbers.size(); ++input) {
    plan.bounds.push_back(bounds_of(plan, input));
    model::set_parameter(model, plan.numbers[input].parameter, plan.middle(input));
  }
  std::vector<std::string> shapes;
  for (const std::size_t point : plan.points) {
    const std::string shape = shape_of(model.points[point]);
    const auto known = std::find(shapes.begin(), shapes.end(), shape);
    plan.group_of.push_back(static_cast<std::size_t>(known - shapes.begin()));
    if (known != shapes.end()) continue;
    shapes.push_back(shape);
    PointGroup group;
    for (std::size_t input = 0; input < plan.numbers.size(); ++input)
      group.ways.push_back(way_of(plan, model, point, input));
    group.several = equations_of(plan, model, point).may_have_several();
    warn_of_idle(plan, group, model.points[point].name);
    plan.groups.push_back(std::move(group));
  }
}

}  // namespace corefeed::studies
