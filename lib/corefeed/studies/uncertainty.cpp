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
  const model::Numbers* part = nullptr;  ///< of a part of a split core: what it gives itself
  std::string_view part_name{};
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
      if (element.whole.empty()) continue;
      // The numbers of a part are the whole's, and so is their error; what it gives itself is its own.
      const model::Element& whole = *model.find_element(element.whole);
      owners[part] = {&whole.numbers, whole.name, &element.numbers, element.name};
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
  const losses::Key& key = element.kind->keys[place];
  const bool of_part = owner.part != nullptr && (owner.part->given >> place & 1U) != 0;
  const model::Numbers& numbers = of_part ? *owner.part : *owner.numbers;
  const std::string_view name = of_part ? owner.part_name : owner.name;
  const losses::Values values = element.values();
  if (!plays(key, values.has(place))) return std::nullopt;
  const auto own = numbers.bands.find(place);
  const bool own_sigma = own != numbers.bands.end() && own->second.sigma.has_value();
  // An error that all elements of the kind share is one parameter, unless the model gives this one its own.
  const bool shared = key.shared && own == numbers.bands.end();
  return Spread{fmt::format("{}.{}", shared ? element.kind->name : name, key.name), element.numbers[place],
                own_sigma ? *own->second.sigma : losses::sigma_of(*element.kind, place, values),
                key.coefficient};
}

std::optional<Spread> loop_spread(const model::Loop& loop, const cooling::Loop& solved, std::size_t key) {
  if (key == 0) return Spread{loop.name + ".flow", solved.flow, loop.flow_band.sigma.value_or(0.0), false};
  // Viscosities of a data sheet are known to 3 %: band of ASTM D341 between its two points.
  if (key == 2) return Spread{loop.name + ".viscosity_factor", 1.0, 0.03, true};
  return Spread{loop.name + ".heat_load", solved.heat_load, solved.heat_load_sigma, false};
}

/// What the parts of a core leave of it is no number of the model's: it falls as their shares rise. Gives the
/// parts whose numbers stand behind element `e`'s `key`, or nothing for any other number.
std::vector<std::size_t> parts_behind(const cooling::Case& problem, const std::vector<Owner>& owners,
                                      std::size_t e, std::size_t key) {
  const losses::Key& row = problem.network.elements[e].kind->keys[key];
  const bool in_network = problem.network.elements[e].values().has(key);
  const bool in_model = (owners[e].numbers->given >> key & 1U) != 0;
  if (!row.own_of_part || !in_network || in_model || owners[e].part != nullptr) return {};
  std::vector<std::size_t> parts;
  for (const cooling::Path& path : problem.paths) {
    if (static_cast<std::size_t>(path.elements.front()) != e) continue;
    for (std::size_t i = 1; i < path.elements.size(); ++i)
      parts.push_back(static_cast<std::size_t>(path.elements[i]));
  }
  return parts;
}

}  // namespace

Uncertainty uncertainty_of(const model::Model& model, const PointResult& result, std::string_view quantity) {
  Uncertainty uncertainty;
  const auto value = result.solution.value(quantity);
  if (!value) return uncertainty;
  const std::vector<Owner> owners = owners_by_element(model, result);
  const cooling::Case& problem = result.built.problem;
  std::map<std::string, Influence> merged;
  const auto add = [&merged, &value](const std::optional<Spread>& spread, double derivative) {
    if (!spread) return;
    Influence& influence = merged[spread->name];
    influence.parameter = spread->name;
    influence.coefficient = spread->coefficient;
    influence.derivative += derivative;
    influence.elasticity += *value == 0.0 ? 0.0 : derivative * spread->value / *value;
    influence.effect += derivative * spread->sigma;
  };
  for (const cooling::Parameter& one : result.solution.gradient(quantity)) {
    const auto index = static_cast<std::size_t>(one.index);
    if (one.owner != cooling::Parameter::Owner::element) {
      add(loop_spread(model.loops[index], problem.loops[index], one.key), one.derivative);
      continue;
    }
    const std::vector<std::size_t> parts = parts_behind(problem, owners, index, one.key);
    for (const std::size_t part : parts)
      add(element_spread(problem.network.elements[part], owners[part], one.key), -one.derivative);
    if (parts.empty())
      add(element_spread(problem.network.elements[index], owners[index], one.key), one.derivative);
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
