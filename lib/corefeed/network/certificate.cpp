// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/certificate.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/breadth_first_search.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "corefeed/losses/law.hpp"

namespace corefeed::network {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// The law's input from the state, without the solver's system in between.
losses::Input<double> input_of(const Network& network, const FlowState& state, int e) {
  const Element& element = network.elements[at(e)];
  losses::Input<double> in;
  in.outside = &network.outside;
  in.mass_flow = state.flow[at(e)];
  in.temperature_from = network.outside.total_temperature;
  in.temperature_to = network.outside.total_temperature;
  if (element.from != none) {
    in.pressure_from = state.pressure[at(element.from)];
    in.temperature_from = state.temperature[at(element.from)];
    in.from_plenum = network.nodes[at(element.from)].kind == NodeKind::plenum;
  }
  if (element.to != none) {
    in.pressure_to = state.pressure[at(element.to)];
    in.temperature_to = state.temperature[at(element.to)];
    in.to_plenum = network.nodes[at(element.to)].kind == NodeKind::plenum;
  }
  const double arriving = in.mass_flow >= 0.0 ? in.temperature_from : in.temperature_to;
  in.temperature_out = element.kind->heated ? state.leaving[at(e)] : arriving;
  if (element.liquid != none) in.liquid = &network.liquids[at(element.liquid)];
  if (element.tubes) in.tube_loss = state.tube_loss[at(e)];
  in.value = element.numbers.data();
  in.given = element.given;
  in.fan_state = element.fan_state;
  in.leg = element.leg;
  in.curves = element.curves.empty() ? nullptr : element.curves.data();
  return in;
}

/// Loss and outside pressure of an element.
struct Drop {
  double loss = 0;
  double boundary = 0;
};

Drop drop_of(const Network& network, const FlowState& state, int e) {
  const Element& element = network.elements[at(e)];
  losses::Input<double> in = input_of(network, state, e);
  losses::Input<double> neighbor;
  int other = element.feeds != none ? element.feeds : element.fed_by;
  if (element.sibling != none) other = element.sibling;
  if (other != none) neighbor = input_of(network, state, other);
  if (element.feeds != none) in.feeds = &neighbor;
  if (element.fed_by != none) in.fed_by = &neighbor;
  if (element.sibling != none) in.sibling = &neighbor;
  losses::Terms<double> terms;
  element.kind->law->value(in, terms);
  return {terms.pressure_loss(), terms.boundary};
}

/// An element, or the tie of a fixed pressure to the outside, as an edge along which the pressure falls.
struct Edge {
  std::size_t from = 0;
  std::size_t to = 0;
  double fall = 0;  ///< Pa, from -> to; the outside counts as zero
  std::string name;
};

/// All edges; the outside is the node behind the last.
std::vector<Edge> edges_of(const Network& network, const FlowState& state, double& largest) {
  const std::size_t outside = network.nodes.size();
  std::vector<Edge> edges;
  for (std::size_t e = 0; e < network.elements.size(); ++e) {
    const Element& element = network.elements[e];
    const Drop drop = drop_of(network, state, static_cast<int>(e));
    Edge edge{element.from == none ? outside : at(element.from),
              element.to == none ? outside : at(element.to), drop.loss, element.name};
    if (element.from == none) edge.fall -= drop.boundary;
    if (element.to == none) edge.fall += drop.boundary;
    largest = std::max({largest, std::abs(drop.loss), std::abs(drop.boundary)});
    edges.push_back(std::move(edge));
  }
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    const Node& node = network.nodes[n];
    if (node.kind != NodeKind::fixed_pressure && !node.holds_pressure) continue;
    edges.push_back({n, outside, node.total_pressure, node.name});
    largest = std::max(largest, std::abs(node.total_pressure));
  }
  return edges;
}

using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property,
                                    boost::property<boost::edge_index_t, std::size_t>>;

constexpr std::size_t root = std::numeric_limits<std::size_t>::max();

/// A spanning tree: by node the edge that leads to it, and the pressure that the laws give it along the tree.
struct Tree {
  std::vector<std::size_t> edge_to;
  std::vector<double> pressure;
  std::vector<std::size_t> depth;
};

/// Records the tree while the search walks it.
class Recorder : public boost::default_bfs_visitor {
 public:
  Recorder(const std::vector<Edge>& edges, Tree& tree) : edges_(&edges), tree_(&tree) {}
  void tree_edge(Graph::edge_descriptor edge, const Graph& graph) const {
    const std::size_t index = boost::get(boost::edge_index, graph, edge);
    const std::size_t before = boost::source(edge, graph);
    const std::size_t behind = boost::target(edge, graph);
    const double fall = (*edges_)[index].fall;
    tree_->edge_to[behind] = index;
    tree_->depth[behind] = tree_->depth[before] + 1;
    tree_->pressure[behind] = tree_->pressure[before] + ((*edges_)[index].from == before ? -fall : fall);
  }

 private:
  const std::vector<Edge>* edges_;
  Tree* tree_;
};

/// Grows the tree from the outside; a part that nothing joins to it gets a tree of its own.
Tree spanning_tree(const std::vector<Edge>& edges, std::size_t nodes) {
  Graph graph(nodes);
  for (std::size_t i = 0; i < edges.size(); ++i) boost::add_edge(edges[i].from, edges[i].to, i, graph);
  Tree tree{std::vector<std::size_t>(nodes, root), std::vector<double>(nodes, 0.0),
            std::vector<std::size_t>(nodes, 0)};
  std::vector<boost::default_color_type> colors(nodes, boost::white_color);
  for (std::size_t back = nodes; back > 0; --back) {
    const std::size_t start = back - 1;
    if (colors[start] != boost::white_color) continue;
    boost::queue<std::size_t> waiting;
    boost::breadth_first_visit(
        graph, start, waiting, Recorder(edges, tree),
        boost::make_iterator_property_map(colors.begin(), boost::identity_property_map()));
  }
  return tree;
}

/// The elements of the path that a chord closes, for a person to look at.
std::string path_words(const std::vector<Edge>& edges, const Tree& tree, const Edge& chord) {
  constexpr std::size_t most = 8;
  std::vector<std::string> names{chord.name};
  std::size_t a = chord.from;
  std::size_t b = chord.to;
  while (a != b && names.size() < most) {
    std::size_t& deeper = tree.depth[a] >= tree.depth[b] ? a : b;
    if (tree.edge_to[deeper] == root) break;
    const Edge& edge = edges[tree.edge_to[deeper]];
    names.push_back(edge.name);
    deeper = edge.from == deeper ? edge.to : edge.from;
  }
  const bool cut = a != b && names.size() == most;
  return fmt::format("along {}{}", fmt::join(names, ", "), cut ? " ..." : "");
}

/// Every chord closes its path; every node has the pressure that the tree gives it.
Balance pressure_balance(const Network& network, const FlowState& state) {
  // Without any pressure in the network a pascal is the measure.
  double largest = 1.0;
  for (const double pressure : state.pressure) largest = std::max(largest, std::abs(pressure));
  const std::vector<Edge> edges = edges_of(network, state, largest);
  const Tree tree = spanning_tree(edges, network.nodes.size() + 1);
  Balance balance;
  balance.scale = largest;
  const Edge* worst = nullptr;
  for (std::size_t i = 0; i < edges.size(); ++i) {
    const Edge& edge = edges[i];
    if (tree.edge_to[edge.from] == i || tree.edge_to[edge.to] == i) continue;
    const double before = balance.worst;
    balance.note(tree.pressure[edge.from] - tree.pressure[edge.to] - edge.fall, edge.name);
    if (balance.worst > before || worst == nullptr) worst = &edge;
  }
  if (worst != nullptr) balance.place = path_words(edges, tree, *worst);
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    // A part of its own has no pressure to compare with but that of its first node.
    std::size_t first = n;
    while (tree.edge_to[first] != root) {
      const Edge& edge = edges[tree.edge_to[first]];
      first = edge.from == first ? edge.to : edge.from;
    }
    const double level = first < network.nodes.size() ? state.pressure[first] : 0.0;
    balance.note(state.pressure[n] - level - tree.pressure[n], network.nodes[n].name);
  }
  return balance;
}

Balance mass_balance(const Network& network, const FlowState& state) {
  Balance balance;
  // In still air a milligram a second is the measure.
  balance.scale = 1e-6;
  std::vector<double> sum(network.nodes.size(), 0.0);
  for (std::size_t e = 0; e < network.elements.size(); ++e) {
    const Element& element = network.elements[e];
    balance.scale = std::max(balance.scale, std::abs(state.flow[e]));
    if (element.from != none) sum[at(element.from)] -= state.flow[e];
    if (element.to != none) sum[at(element.to)] += state.flow[e];
  }
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    const Node& node = network.nodes[n];
    if (node.kind != NodeKind::fixed_pressure && !node.holds_pressure) balance.note(sum[n], node.name);
  }
  return balance;
}

/// A supply has a temperature of its own.
bool brings_its_own(const Element& element) { return element.kind->heated && element.from == none; }

/// J/kg above another temperature, of what an element carries.
double enthalpy_above(const Network& network, int liquid, double temperature, double other) {
  if (liquid == none) return network.outside.air.heat_capacity * (temperature - other);
  const fluids::Liquid& carried = network.liquids[at(liquid)];
  return losses::liquid_enthalpy<double>(carried, temperature) -
         losses::liquid_enthalpy<double>(carried, other);
}

/// What arrives at a node mixes to its temperature; the stream of an element that is not heated keeps its
/// own.
Balance energy_balance(const Network& network, const FlowState& state) {
  const double outside = network.outside.total_temperature;
  Balance balance;
  std::vector<double> sum(network.nodes.size(), 0.0);
  double largest_flow = 1e-6;
  double largest_heat = 0.0;
  const auto arrive = [&](int node, int liquid, double flow, double temperature) {
    const double heat = flow * enthalpy_above(network, liquid, temperature, outside);
    largest_heat = std::max(largest_heat, std::abs(heat));
    if (node == none) return;
    sum[at(node)] += flow * enthalpy_above(network, liquid, temperature, state.temperature[at(node)]);
  };
  for (std::size_t n = 0; n < network.nodes.size(); ++n) sum[n] += network.nodes[n].heat;
  std::vector<std::pair<double, std::string>> kept;
  for (std::size_t e = 0; e < network.elements.size(); ++e) {
    const losses::Input<double> in = input_of(network, state, static_cast<int>(e));
    const Element& element = network.elements[e];
    const bool onward = in.mass_flow >= 0.0;
    const double flow = std::abs(in.mass_flow);
    largest_flow = std::max(largest_flow, flow);
    arrive(onward ? element.to : element.from, element.liquid, flow, in.temperature_out);
    const double came = onward ? in.temperature_from : in.temperature_to;
    if (element.coupled || brings_its_own(element)) continue;
    kept.emplace_back(flow * enthalpy_above(network, element.liquid, in.temperature_out, came), element.name);
  }
  balance.scale = std::max(largest_heat, largest_flow * network.outside.air.heat_capacity);
  for (const auto& [heat, name] : kept) balance.note(heat, name);
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    const Node& node = network.nodes[n];
    if (node.kind != NodeKind::fixed_pressure || node.holds_pressure) balance.note(sum[n], node.name);
  }
  return balance;
}

/// Without heat, and with all air that can come in equally warm, temperatures do not depend on the flow.
bool equally_warm(const Network& network) {
  const double outside = network.outside.total_temperature;
  return std::none_of(network.elements.begin(), network.elements.end(),
                      [](const Element& element) { return element.coupled || brings_its_own(element); }) &&
         std::none_of(network.nodes.begin(), network.nodes.end(), [outside](const Node& node) {
           return node.kind == NodeKind::fixed_pressure && node.temperature != outside;
         });
}

}  // namespace

void Balance::note(double residual, const std::string& where) {
  const double size = std::abs(residual) / scale;
  const double relative = std::isfinite(size) ? size : std::numeric_limits<double>::infinity();
  if (!place.empty() && relative <= worst) return;
  worst = std::max(relative, worst);
  place = where;
}

double Certificate::worst() const { return std::max({mass.worst, energy.worst, pressure.worst}); }

std::string Certificate::words() const {
  struct Named {
    const Balance* balance;
    const char* name;
  };
  const std::array<Named, 3> all{{{&mass, "mass"}, {&energy, "energy"}, {&pressure, "pressure"}}};
  const Named& least = *std::max_element(all.begin(), all.end(), [](const Named& a, const Named& b) {
    return a.balance->worst < b.balance->worst;
  });
  return fmt::format("{} to {:.1e} of the largest in the network ({}, worst at {})",
                     met() ? "all balances close" : "a balance closes only", least.balance->worst, least.name,
                     least.balance->place);
}

std::string Certificate::uniqueness_words() const {
  if (uniqueness == Uniqueness::proved) return "unique";
  if (uniqueness == Uniqueness::proved_at_temperatures) return "unique at these temperatures";
  return fmt::format("uniqueness not proved: the loss of {} may fall while a flow rises",
                     fmt::join(in_doubt, ", "));
}

bool is_monotone(const Element& element) {
  // A diffuser's loss follows the flow of its core, a junction's leg that of the other leg.
  if (element.feeds != none || element.sibling != none) return false;
  if (element.kind->monotone_of == nullptr) return element.kind->monotone;
  const bool running = element.fan_state == losses::FanState::on;
  return element.kind->monotone_of(element.values()) || !running;
}

Certificate certify(const Network& network, const FlowState& state) {
  Certificate certificate;
  certificate.mass = mass_balance(network, state);
  certificate.energy = energy_balance(network, state);
  certificate.pressure = pressure_balance(network, state);
  for (const Element& element : network.elements) {
    if (!is_monotone(element)) certificate.in_doubt.push_back(element.name);
  }
  if (certificate.in_doubt.empty()) {
    certificate.uniqueness = equally_warm(network) ? Uniqueness::proved : Uniqueness::proved_at_temperatures;
  }
  return certificate;
}

}  // namespace corefeed::network
