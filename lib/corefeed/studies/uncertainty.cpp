// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "corefeed/studies/study.hpp"

namespace corefeed::studies {
namespace {

/// The model's numbers behind an element of the network, and whose they are: the piece's of a path, but the
/// junction's for its legs.
struct Owner {
  const model::Numbers* numbers = nullptr;
  std::string_view name;
};

std::vector<Owner> owners_by_element(const model::Model& model, const PointResult& result) {
  const auto& elements = result.built.problem.network.elements;
  std::vector<Owner> owners(elements.size());
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    const auto& parts = result.built.parts[e];
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const model::Element& element = model.elements[e];
      const auto part = static_cast<std::size_t>(parts[i]);
      owners[part] = element.pieces.empty() ? Owner{&element.numbers, element.name}
                                            : Owner{&element.pieces[i].numbers, elements[part].name};
    }
  }
  return owners;
}

/// Value and 1-sigma of one parameter; nothing where the number plays no part.
struct Spread {
  std::string name;
  double value = 0;
  double sigma = 0;
  bool coefficient = false;
};

bool plays(const losses::Key& key, bool given) {
  const bool number = key.refers == losses::Refers::nothing && key.choices.empty() && key.curve == nullptr;
  return number && (given || key.need == losses::Need::standard);
}

std::optional<Spread> element_spread(const network::Element& element, const Owner& owner, std::size_t place) {
  const model::Numbers& numbers = *owner.numbers;
  const losses::Key& key = element.kind->keys[place];
  const losses::Values values = element.values();
  if (!plays(key, values.has(place))) return std::nullopt;
  const auto own = numbers.bands.find(place);
  const bool own_sigma = own != numbers.bands.end() && own->second.sigma.has_value();
  // An error that all elements of the kind share is one parameter, unless the model gives this one its own.
  const bool shared = key.shared && own == numbers.bands.end();
  return Spread{
      fmt::format("{}.{}", shared ? element.kind->name : owner.name, key.name), element.numbers[place],
      own_sigma ? *own->second.sigma : losses::sigma_of(*element.kind, place, values), key.coefficient};
}

std::optional<Spread> loop_spread(const model::Loop& loop, const cooling::Loop& solved, std::size_t key) {
  if (key == 0) return Spread{loop.name + ".flow", solved.flow, loop.flow_band.sigma.value_or(0.0), false};
  // Viscosities of a data sheet are known to 3 %: band of ASTM D341 between its two points.
  if (key == 2) return Spread{loop.name + ".viscosity_factor", 1.0, 0.03, true};
  return Spread{loop.name + ".heat_load", solved.heat_load, solved.heat_load_sigma, false};
}

}  // namespace

Uncertainty uncertainty_of(const model::Model& model, const PointResult& result, std::string_view quantity) {
  Uncertainty uncertainty;
  const auto value = result.solution.value(quantity);
  if (!value) return uncertainty;
  const std::vector<Owner> owners = owners_by_element(model, result);
  const cooling::Case& problem = result.built.problem;
  std::map<std::string, Influence> merged;
  for (const cooling::Parameter& one : result.solution.gradient(quantity)) {
    const auto index = static_cast<std::size_t>(one.index);
    const auto spread = one.owner == cooling::Parameter::Owner::element
                            ? element_spread(problem.network.elements[index], owners[index], one.key)
                            : loop_spread(model.loops[index], problem.loops[index], one.key);
    if (!spread) continue;
    Influence& influence = merged[spread->name];
    influence.parameter = spread->name;
    influence.coefficient = spread->coefficient;
    influence.derivative += one.derivative;
    influence.elasticity += *value == 0.0 ? 0.0 : one.derivative * spread->value / *value;
    influence.effect += one.derivative * spread->sigma;
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

}  // namespace corefeed::studies
