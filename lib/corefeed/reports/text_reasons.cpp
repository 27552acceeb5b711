// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/text_parts.hpp"
#include "corefeed/studies/advice.hpp"
#include "corefeed/studies/budget.hpp"

namespace corefeed::reports {
namespace {

using studies::Budget;
using studies::Eater;
using studies::Influence;

std::string budget_text(const Budget& budget) {
  const std::vector<Eater> eaters = studies::eaters_of(budget);
  std::string text = fmt::format("{}: {} drives its air;", budget.core,
                                 units::show(budget.head, units::Quantity::pressure_difference));
  const std::size_t shown = std::min<std::size_t>(3, eaters.size());
  for (std::size_t i = 0; i < shown; ++i) {
    text += fmt::format("{} {} eats {:.0f} % (most of it: {})", i == 0 ? "" : ",", eaters[i].name,
                        100.0 * eaters[i].share, eaters[i].part);
  }
  return text;
}

/// Air that leaves the core's own node through leaks, as a share of what arrives there.
std::string leak_text(const studies::PointResult& point, std::size_t core) {
  const network::Network& net = point.built.problem.network;
  double leaked = 0.0;
  std::string names;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    if (net.elements[e].kind->name != "leak" || net.elements[e].from != net.elements[core].from) continue;
    leaked += std::max(point.solution.elements[e].flow, 0.0);
    names += (names.empty() ? "" : ", ") + net.elements[e].name;
  }
  const double flow = point.solution.elements[core].flow;
  if (leaked <= 0.0 || flow + leaked <= 0.0) return "";
  return fmt::format("{:.1f} % of the air passes by {} through {}", 100.0 * leaked / (flow + leaked),
                     net.elements[core].name, names);
}

std::string cures(const model::Model& model, const studies::PointResult& point,
                  const model::Requirement& requirement) {
  const std::vector<Influence> influences = studies::levers_on(model, point, requirement.quantity);
  // A temperature's relative change means nothing to a person: it moves in kelvin per ten percent.
  const bool level = requirement.kind == units::Quantity::temperature;
  const double value = point.solution.value(requirement.quantity).value_or(0.0);
  std::string text;
  const std::size_t shown = std::min<std::size_t>(3, influences.size());
  for (std::size_t i = 0; i < shown; ++i) {
    const bool larger = (influences[i].elasticity > 0.0) == requirement.at_least;
    const double change = 0.1 * std::abs(influences[i].elasticity);
    const double sign = requirement.at_least ? 1.0 : -1.0;
    const std::string effect = level ? fmt::format("{:+.1f} K", sign * change * value)
                                     : fmt::format("{:+.1f} %", 100.0 * sign * change);
    text += fmt::format("    {} 10 % {}: {} {}\n", influences[i].parameter, larger ? "larger" : "smaller",
                        requirement.quantity, effect);
  }
  if (!influences.empty()) {
    text += fmt::format("    ask: corefeed size {} --vary {} --until 'requirement:{}'\n", model.file,
                        influences.front().parameter, requirement.name);
  }
  return text;
}

}  // namespace

std::string reasons(const model::Model& model, const studies::PointResult& point,
                    const model::Requirement& requirement) {
  const std::string owner = requirement.quantity.substr(0, requirement.quantity.find('.'));
  std::string text;
  for (const std::size_t core : studies::cores_of(point, owner)) {
    const Budget* budget = studies::budget_of_core(point, core);
    if (budget != nullptr) text += "    " + wrapped(budget_text(*budget), "      ") + "\n";
    const std::string leak = leak_text(point, core);
    if (!leak.empty()) text += "    " + leak + "\n";
  }
  return text + cures(model, point, requirement);
}

}  // namespace corefeed::reports
