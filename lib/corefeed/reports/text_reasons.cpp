// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Budget;
using studies::BudgetLine;
using studies::Influence;

/// Whether an element is one of several that the user knows by one name.
bool is_within(const cooling::Case& problem, std::size_t element, std::string_view name) {
  return std::any_of(problem.paths.begin(), problem.paths.end(), [&](const cooling::Path& path) {
    return path.name == name &&
           std::count(path.elements.begin(), path.elements.end(), static_cast<int>(element)) > 0;
  });
}

/// Cores that a quantity speaks of: the core itself with its zones, or those that cool the loop.
std::vector<std::size_t> cores_of(const studies::PointResult& point, std::string_view owner) {
  const cooling::Case& problem = point.built.problem;
  std::vector<std::size_t> cores;
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    const network::Element& element = problem.network.elements[e];
    if (!losses::is_air_core(*element.kind)) continue;
    const int loop = problem.loop_of[e];
    const bool cools = loop != network::none && problem.loops[static_cast<std::size_t>(loop)].name == owner;
    if (element.name == owner || cools || is_within(problem, e, owner)) cores.push_back(e);
  }
  return cores;
}

/// What one thing of the user's eats: an element with its items, or a whole duct with its pieces.
struct Eater {
  std::string name;
  double share = 0;
  std::string part;  ///< the largest item or piece
  double largest = 0;
};

std::vector<Eater> eaters_of(const Budget& budget) {
  std::vector<Eater> eaters;
  for (const BudgetLine& line : budget.lines) {
    const std::size_t slash = line.element.find('/');
    const std::string name = line.element.substr(0, slash);
    auto found =
        std::find_if(eaters.begin(), eaters.end(), [&name](const Eater& one) { return one.name == name; });
    if (found == eaters.end()) found = eaters.insert(eaters.end(), Eater{name, 0.0, "", 0.0});
    found->share += line.share;
    if (line.share <= found->largest) continue;
    found->largest = line.share;
    found->part = slash == std::string::npos ? line.item : line.element;
  }
  std::stable_sort(eaters.begin(), eaters.end(),
                   [](const Eater& a, const Eater& b) { return a.share > b.share; });
  return eaters;
}

std::string budget_text(const Budget& budget) {
  const std::vector<Eater> eaters = eaters_of(budget);
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

/// Whether a shop can change the number: sizes and openings, not air, fluids or test data.
bool is_lever(const Influence& influence, const model::Model& model) {
  if (influence.coefficient) return false;
  const std::string_view name = influence.parameter;
  const std::size_t dot = name.find('.');
  if (dot == std::string_view::npos) return false;
  const std::string_view key = name.substr(dot + 1);
  if (key == "open_fraction" || key == "blocker.open_share" || key == "flow") return true;
  const model::Element* element = model.find_element(name.substr(0, dot));
  if (element == nullptr) return false;
  const std::size_t place = losses::find_key(*element->numbers.kind, key);
  if (place == losses::npos) return false;
  const units::Quantity quantity = element->numbers.kind->keys[place].quantity;
  return quantity == units::Quantity::area || quantity == units::Quantity::length ||
         quantity == units::Quantity::air_flow || quantity == units::Quantity::angle;
}

std::string cures(const model::Model& model, const studies::PointResult& point,
                  const model::Requirement& requirement) {
  std::vector<Influence> influences = studies::uncertainty_of(model, point, requirement.quantity).influences;
  std::erase_if(influences, [&model](const Influence& one) { return !is_lever(one, model); });
  std::stable_sort(influences.begin(), influences.end(), [](const Influence& a, const Influence& b) {
    return std::abs(a.elasticity) > std::abs(b.elasticity);
  });
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
  for (const std::size_t core : cores_of(point, owner)) {
    for (const Budget& budget : point.budgets) {
      if (budget.core != point.built.problem.network.elements[core].name) continue;
      text += "    " + wrapped(budget_text(budget), "      ") + "\n";
    }
    const std::string leak = leak_text(point, core);
    if (!leak.empty()) text += "    " + leak + "\n";
  }
  return text + cures(model, point, requirement);
}

}  // namespace corefeed::reports
