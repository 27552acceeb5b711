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

std::string cures(const model::Model& model, const studies::Advice& advice) {
  const model::Requirement& requirement = model.requirements[advice.requirement];
  std::string text;
  for (const studies::Lever& lever : advice.levers) {
    text += "    " + wrapped(lever_text(requirement, advice, lever), "      ") + "\n";
  }
  if (advice.levers.empty()) return text;
  const bool at_limit = advice.target == requirement.limit;
  const std::string condition =
      at_limit
          ? "requirement:" + requirement.name
          : fmt::format("{} {} {}", requirement.quantity,
                        requirement.at_least ? ">=" : "<=", units::show(advice.target, requirement.kind));
  // What no lever does alone two may do together.
  std::string vary = advice.levers.front().parameter;
  if (!advice.levers.front().size && advice.levers.size() > 1) vary += "," + advice.levers[1].parameter;
  text += fmt::format("    ask: corefeed size {} --vary {} --until '{}'\n", model.file, vary, condition);
  return text;
}

}  // namespace

std::string reasons(const model::Model& model, const studies::PointResult& point,
                    const studies::Advice& advice) {
  const model::Requirement& requirement = model.requirements[advice.requirement];
  const std::string owner = requirement.quantity.substr(0, requirement.quantity.find('.'));
  std::string text;
  for (const std::size_t core : studies::cores_of(point, owner)) {
    const Budget* budget = studies::budget_of_core(point, core);
    if (budget != nullptr) text += "    " + wrapped(budget_text(*budget), "      ") + "\n";
    const std::string leak = leak_text(point, core);
    if (!leak.empty()) text += "    " + leak + "\n";
  }
  return text + cures(model, advice);
}

}  // namespace corefeed::reports
