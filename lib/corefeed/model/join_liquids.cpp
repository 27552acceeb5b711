// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/join_liquids.hpp"

#include <algorithm>

namespace corefeed::model {
namespace {

using network::none;

bool is_pump(const losses::Kind& kind) { return losses::find_key(kind, "suction_limit") != losses::npos; }
bool is_supply(const losses::Kind& kind) { return kind.name == "supply"; }

/// The first element of a loop whose kind fits.
const Element* first_of(const Model& model, const std::string& loop, bool (*fits)(const losses::Kind&)) {
  for (const Element& element : model.elements) {
    if (element.in_loop == loop && (fits == nullptr || fits(*element.numbers.kind))) return &element;
  }
  return nullptr;
}

int network_element(const Model& model, const Built& built, const Element* element) {
  if (element == nullptr) return none;
  return built.parts[static_cast<std::size_t>(element - model.elements.data())].front();
}

int node_of(const network::Network& net, const std::string& name) {
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (net.nodes[n].name == name) return static_cast<int>(n);
  }
  return none;
}

/// The element whose flow counts as the loop's: a pump, else a supply, else the first.
const Element* leading_element(const Model& model, const std::string& loop) {
  for (const auto fits : {&is_pump, &is_supply}) {
    if (const Element* found = first_of(model, loop, fits)) return found;
  }
  return first_of(model, loop, nullptr);
}

void join_loop(const Model& model, const Loop& given, cooling::Loop& loop, Built& built) {
  network::Network& net = built.problem.network;
  loop.first = network_element(model, built, leading_element(model, given.name));
  const Element* heats =
      given.heat_at.empty() ? first_of(model, given.name, &is_pump) : model.find_element(given.heat_at);
  if (heats != nullptr) {
    loop.heated_node = node_of(net, heats->to);
    net.nodes[static_cast<std::size_t>(loop.heated_node)].heat = loop.heat_load;
  }
  const int reference = node_of(net, reference_node(model, given));
  if (reference != none) net.nodes[static_cast<std::size_t>(reference)].holds_pressure = true;
}

/// Sides of cores and coolers, each told of the other.
void join_sides(const Model& model, Built& built) {
  cooling::Case& problem = built.problem;
  problem.other_side.assign(problem.network.elements.size(), none);
  for (const Element& element : model.elements) {
    if (element.other_side.empty()) continue;
    const int own = network_element(model, built, &element);
    const int other = network_element(model, built, model.find_element(element.other_side));
    if (own == none || other == none) continue;
    if (element.numbers.kind->name == "liquid_cooler") {
      problem.pairs.push_back({own, other});
      continue;
    }
    problem.other_side[static_cast<std::size_t>(own)] = other;
    problem.other_side[static_cast<std::size_t>(other)] = own;
  }
}

}  // namespace

std::string reference_node(const Model& model, const Loop& loop) {
  const bool fixed = std::any_of(model.nodes.begin(), model.nodes.end(), [&loop](const Node& node) {
    return node.in_loop == loop.name && node.kind == network::NodeKind::fixed_pressure;
  });
  const Element* pump = first_of(model, loop.name, &is_pump);
  return fixed || !loop.is_network || pump == nullptr ? "" : pump->from;
}

void join_liquids(const Model& model, Built& built) {
  network::Network& net = built.problem.network;
  for (network::Element& element : net.elements) {
    const std::size_t tubes = losses::find_key(*element.kind, "tubes.number");
    element.tubes = tubes != losses::npos && (element.given >> tubes & 1U) != 0;
  }
  for (std::size_t l = 0; l < model.loops.size(); ++l) {
    if (model.loops[l].is_network) join_loop(model, model.loops[l], built.problem.loops[l], built);
  }
  join_sides(model, built);
}

}  // namespace corefeed::model
