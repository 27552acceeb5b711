// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/connected_components.hpp>
#include <tuple>

#include "corefeed/network/network.hpp"

namespace corefeed::network {
namespace {

using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS>;

/// A part of the network whose nodes are joined with each other.
struct Part {
  std::vector<std::string> nodes;
  int inlets = 0;
  int vents = 0;
  int fixed = 0;
  bool liquid = false;
};

std::vector<Part> parts_of(const Network& network) {
  Graph graph(network.nodes.size());
  for (const Element& element : network.elements) {
    if (element.from != none && element.to != none) {
      boost::add_edge(static_cast<std::size_t>(element.from), static_cast<std::size_t>(element.to), graph);
    }
  }
  std::vector<std::size_t> part_of(network.nodes.size());
  if (network.nodes.empty()) return {};
  const std::size_t count = boost::connected_components(graph, part_of.data());
  std::vector<Part> parts(count);
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    parts[part_of[n]].nodes.push_back(network.nodes[n].name);
    const Node& node = network.nodes[n];
    if (node.kind == NodeKind::fixed_pressure || node.holds_pressure) ++parts[part_of[n]].fixed;
    parts[part_of[n]].liquid = node.liquid != none;
  }
  for (const Element& element : network.elements) {
    if (element.from == none && element.to != none)
      ++parts[part_of[static_cast<std::size_t>(element.to)]].inlets;
    if (element.to == none && element.from != none)
      ++parts[part_of[static_cast<std::size_t>(element.from)]].vents;
  }
  return parts;
}

std::string names_of(const Part& part) {
  constexpr std::size_t most = 10;
  const std::size_t shown = std::min(most, part.nodes.size());
  std::string text =
      fmt::format("{}", fmt::join(part.nodes.begin(), part.nodes.begin() + static_cast<long>(shown), ", "));
  if (part.nodes.size() > most) text += fmt::format(" and {} more", part.nodes.size() - most);
  return text;
}

Issue fault(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.place.pointer = "/air";
  issue.text = std::move(text);
  return issue;
}

/// 0 where the kind has no such key: whatever has `feeds` may stand before a core.
double number_at(const Element& element, std::string_view key) {
  const std::size_t place = losses::find_key(*element.kind, key);
  return place == losses::npos ? 0.0 : element.numbers[place];
}

/// Of two diffusers before one core the wider one counts, at the same width the one that widens more: never
/// the one that happens to be written last.
bool spreads_wider(const Element& one, const Element& other) {
  const auto rank = [](const Element& element) {
    return std::tuple(number_at(element, "outlet_area"), -number_at(element, "inlet_area"), element.name);
  };
  return rank(one) > rank(other);
}

}  // namespace

void connect_neighbors(Network& network) {
  auto& elements = network.elements;
  const auto core_behind = [&](const Element& diffuser) {
    int found = none;
    for (std::size_t e = 0; e < elements.size(); ++e) {
      if (!elements[e].kind->heated || elements[e].from != diffuser.to) continue;
      if (found != none) return none;
      found = static_cast<int>(e);
    }
    return found;
  };
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const bool may_feed = losses::find_key(*elements[e].kind, "feeds") != losses::npos;
    if (!may_feed) continue;
    if (elements[e].feeds == none) elements[e].feeds = core_behind(elements[e]);
    if (elements[e].feeds == none) continue;
    int& before = elements[static_cast<std::size_t>(elements[e].feeds)].fed_by;
    if (before == none || spreads_wider(elements[e], elements[static_cast<std::size_t>(before)]))
      before = static_cast<int>(e);
  }
}

std::vector<Issue> check_topology(const Network& network) {
  std::vector<Issue> issues;
  for (const Element& element : network.elements) {
    if (element.from != none && element.from == element.to) {
      issues.push_back(fault(
          "self_loop", fmt::format("element {} starts and ends at the same node {}; give it two "
                                   "different nodes",
                                   quoted(element.name),
                                   quoted(network.nodes[static_cast<std::size_t>(element.from)].name))));
    }
  }
  for (const Part& part : parts_of(network)) {
    if (part.fixed > 0) continue;
    const std::string names = names_of(part);
    if (part.liquid) {
      issues.push_back(fault(
          "no_opening", fmt::format("no pressure is fixed in the part of a loop with the nodes {}; join it "
                                    "to the rest or add a fixed_pressure node",
                                    names)));
      issues.back().place.pointer = "/loops";
      continue;
    }
    if (part.inlets + part.vents == 0) {
      issues.push_back(
          fault("no_opening", fmt::format("the nodes {} have no way to the outside; add an inlet and a "
                                          "vent, or a fixed_pressure node",
                                          names)));
    } else if (part.vents == 0) {
      issues.push_back(fault("no_outlet", fmt::format("air gets into {} but cannot leave: no vent and no "
                                                      "fixed_pressure node is connected; add a vent",
                                                      names)));
    } else if (part.inlets + part.vents == 1) {
      issues.push_back(
          fault("no_inlet", fmt::format("{} has a single vent and no inlet, so no air can flow; add an "
                                        "inlet, a second vent or a fixed_pressure node",
                                        names)));
    }
  }
  return issues;
}

}  // namespace corefeed::network
