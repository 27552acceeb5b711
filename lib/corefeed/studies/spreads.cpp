// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/spreads.hpp"

#include <fmt/format.h>

#include <limits>
#include <optional>

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

/// A number that is no name, word or curve, and stands in the model or has a standard value.
bool plays(const losses::Key& key, bool given) {
  const bool number = key.refers == losses::Refers::nothing && key.choices.empty() && key.curve == nullptr;
  return number && (given || key.need == losses::Need::standard);
}

std::optional<Spread> element_spread(const network::Element& element, int index, const Owner& owner,
                                     std::size_t place) {
  const losses::Key& key = element.kind->keys[place];
  const losses::Values values = element.values();
  if (owner.numbers == nullptr || !plays(key, values.has(place))) return std::nullopt;
  const auto own = owner.numbers->bands.find(place);
  const bool own_sigma = own != owner.numbers->bands.end() && own->second.sigma.has_value();
  // An error that all elements of the kind share is one parameter, unless the model gives this one its own.
  const bool shared = key.shared && own == owner.numbers->bands.end();
  Spread spread;
  spread.name = fmt::format("{}.{}", shared ? element.kind->name : owner.name, key.name);
  spread.input = fmt::format("{}.{}", element.name, key.name);
  spread.value = element.numbers[place];
  spread.sigma = own_sigma ? *own->second.sigma : losses::sigma_of(*element.kind, place, values);
  spread.lowest = key.lowest;
  spread.highest = key.highest;
  spread.above_lowest = key.above_lowest;
  spread.coefficient = key.coefficient;
  spread.index = index;
  spread.key = place;
  return spread;
}

Spread loop_spread(const model::Loop& loop, const cooling::Loop& solved, int index, std::size_t key) {
  Spread spread;
  spread.name = loop.name + (key == 0 ? ".flow" : ".heat_load");
  spread.input = spread.name;
  spread.value = key == 0 ? solved.flow : solved.heat_load;
  spread.sigma = key == 0 ? loop.flow_band.sigma.value_or(0.0) : solved.heat_load_sigma;
  spread.highest = std::numeric_limits<double>::infinity();
  spread.above_lowest = key == 0;
  spread.owner = cooling::Parameter::Owner::loop;
  spread.index = index;
  spread.key = key;
  return spread;
}

}  // namespace

std::vector<Spread> spreads_of(const model::Model& model, const PointResult& result) {
  const std::vector<Owner> owners = owners_by_element(model, result);
  const cooling::Case& problem = result.built.problem;
  std::vector<Spread> spreads;
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    const network::Element& element = problem.network.elements[e];
    for (std::size_t key = 0; key < element.numbers.size(); ++key) {
      auto spread = element_spread(element, static_cast<int>(e), owners[e], key);
      if (spread) spreads.push_back(std::move(*spread));
    }
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    for (const std::size_t key : {std::size_t{0}, std::size_t{1}}) {
      spreads.push_back(loop_spread(model.loops[l], problem.loops[l], static_cast<int>(l), key));
    }
  }
  return spreads;
}

}  // namespace corefeed::studies
