// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr std::size_t most_shares = 5;
constexpr std::size_t most_sensitivities = 12;

std::vector<std::string> quantities_of(const model::Model& model) {
  std::vector<std::string> names;
  const auto add = [&names](std::string name) {
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(std::move(name));
  };
  for (const model::Element& element : model.elements) {
    if (losses::is_air_core(*element.numbers.kind)) add(element.name + ".flow");
  }
  for (const model::Loop& loop : model.loops) add(loop.name + ".temperature");
  for (const model::Requirement& requirement : model.requirements) add(requirement.quantity);
  return names;
}

/// 1-sigma and the parameters that make most of its variance; the influences come sorted by effect.
Value spread_json(const studies::Uncertainty& uncertainty) {
  std::vector<Value> largest;
  const double variance = uncertainty.sigma * uncertainty.sigma;
  for (const studies::Influence& influence : uncertainty.influences) {
    if (influence.effect == 0.0 || largest.size() == most_shares) break;
    largest.push_back(
        model::make_object({{"parameter", text(influence.parameter)},
                            {"share", number(influence.effect * influence.effect / variance)}}));
  }
  return model::make_object(
      {{"sigma", number(uncertainty.sigma)}, {"largest", model::make_array(std::move(largest))}});
}

Value sensitivity_json(std::vector<studies::Influence> influences) {
  std::stable_sort(influences.begin(), influences.end(), [](const auto& a, const auto& b) {
    return std::abs(a.elasticity) > std::abs(b.elasticity);
  });
  Members members;
  for (const studies::Influence& influence : influences) {
    if (influence.derivative == 0.0 || members.size() == most_sensitivities) continue;
    members.emplace_back(influence.parameter,
                         model::make_object({{"derivative", number(influence.derivative)},
                                             {"elasticity", number(influence.elasticity)}}));
  }
  return model::make_object(std::move(members));
}

}  // namespace

void add_uncertainties(const model::Model& model, const studies::PointResult& point, Members& members) {
  Members spreads;
  Members sensitivities;
  if (point.solution.converged) {
    for (const std::string& quantity : quantities_of(model)) {
      const studies::Uncertainty uncertainty = studies::uncertainty_of(model, point, quantity);
      spreads.emplace_back(quantity, spread_json(uncertainty));
      sensitivities.emplace_back(quantity, sensitivity_json(uncertainty.influences));
    }
  }
  members.emplace_back("uncertainty", model::make_object(std::move(spreads)));
  members.emplace_back("sensitivity", model::make_object(std::move(sensitivities)));
}

}  // namespace corefeed::reports
