// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "corefeed/studies/spreads.hpp"
#include "corefeed/studies/study.hpp"

namespace corefeed::studies {

Uncertainty uncertainty_of(const model::Model& model, const PointResult& result, std::string_view quantity) {
  Uncertainty uncertainty;
  const auto value = result.solution.value(quantity);
  if (!value) return uncertainty;
  std::map<std::tuple<cooling::Parameter::Owner, int, std::size_t>, double> derivatives;
  for (const cooling::Parameter& one : result.solution.gradient(quantity)) {
    derivatives[{one.owner, one.index, one.key}] = one.derivative;
  }
  std::map<std::string, Influence> merged;
  for (const Spread& spread : spreads_of(model, result)) {
    const auto found = derivatives.find({spread.owner, spread.index, spread.key});
    if (found == derivatives.end()) continue;
    Influence& influence = merged[spread.name];
    influence.parameter = spread.name;
    influence.coefficient = spread.coefficient;
    const double derivative = spread.factor * found->second;
    influence.derivative += derivative;
    influence.elasticity += *value == 0.0 ? 0.0 : derivative * spread.value / *value;
    influence.effect += derivative * spread.sigma;
  }
  double variance = 0.0;
  for (auto& [name, influence] : merged) {
    variance += influence.effect * influence.effect;
    uncertainty.influences.push_back(influence);
  }
  uncertainty.sigma = std::sqrt(variance);
  std::stable_sort(
      uncertainty.influences.begin(), uncertainty.influences.end(),
      [](const Influence& a, const Influence& b) { return std::abs(a.effect) > std::abs(b.effect); });
  return uncertainty;
}

std::vector<std::string> quantities_of_interest(const model::Model& model) {
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

}  // namespace corefeed::studies
