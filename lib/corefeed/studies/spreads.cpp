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

/// A number that is no name, word or curve, and stands in the model or has a standard value.
bool plays(const losses::Key& key, bool given) {
  const bool number = key.refers == losses::Refers::nothing && key.choices.empty() && key.curve == nullptr;
  return number && (given || key.need == losses::Need::standard);
}

std::optional<Spread> element_spread(const network::Element& element, int index, const Owner& owner,
                                     std::size_t place) {
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
  Spread spread;
  spread.name = fmt::format("{}.{}", shared ? element.kind->name : name, key.name);
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

/// Place of a loop's number in the gradient.
enum LoopKey : std::size_t { loop_flow, loop_heat, loop_viscosity };

Spread loop_spread(const model::Loop& loop, const cooling::Loop& solved, int index, std::size_t key) {
  Spread spread;
  spread.owner = cooling::Parameter::Owner::loop;
  spread.index = index;
  spread.key = key;
  spread.highest = std::numeric_limits<double>::infinity();
  spread.above_lowest = true;
  if (key == loop_flow) {
    spread.name = loop.name + ".flow";
    spread.value = solved.flow;
    spread.sigma = loop.flow_band.sigma.value_or(0.0);
  } else if (key == loop_viscosity) {
    // Viscosities of a data sheet are known to 3 %: band of ASTM D341 between its two points.
    spread.name = loop.name + ".viscosity_factor";
    spread.value = 1.0;
    spread.sigma = 0.03;
    spread.coefficient = true;
  } else {
    spread.name = loop.name + ".heat_load";
    spread.value = solved.heat_load;
    spread.sigma = solved.heat_load_sigma;
    spread.above_lowest = false;
  }
  spread.input = spread.name;
  return spread;
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

const model::TakenPressure* pressure_of(const PointResult& result, std::size_t element) {
  for (const model::TakenPressure& taken : result.built.pressures) {
    if (static_cast<std::size_t>(taken.element) == element) return &taken;
  }
  return nullptr;
}

}  // namespace

std::vector<Spread> spreads_of(const model::Model& model, const PointResult& result) {
  const std::vector<Owner> owners = owners_by_element(model, result);
  const cooling::Case& problem = result.built.problem;
  std::vector<Spread> spreads;
  const auto& elements = problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const auto from_table = pressure_of(result, e);
    for (std::size_t key = 0; key < elements[e].numbers.size(); ++key) {
      const auto add = [&](std::size_t of, double factor) {
        auto spread = element_spread(elements[of], static_cast<int>(e), owners[of], key);
        if (!spread) return;
        spread->input = fmt::format("{}.{}", elements[e].name, elements[e].kind->keys[key].name);
        spread->factor = factor;
        // A table without sigma leaves the kind's own band.
        if (from_table != nullptr && from_table->sigma > 0.0 && elements[e].kind->keys[key].name == "cp")
          spread->sigma = from_table->sigma;
        spreads.push_back(std::move(*spread));
      };
      const std::vector<std::size_t> parts = parts_behind(problem, owners, e, key);
      for (const std::size_t part : parts) add(part, -1.0);
      if (parts.empty()) add(e, 1.0);
    }
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    for (const std::size_t key : {loop_flow, loop_heat, loop_viscosity}) {
      spreads.push_back(loop_spread(model.loops[l], problem.loops[l], static_cast<int>(l), key));
    }
  }
  return spreads;
}

}  // namespace corefeed::studies
