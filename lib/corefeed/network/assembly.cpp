// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/assembly.hpp"

#include <algorithm>
#include <cmath>

#include "corefeed/network/residuals.hpp"

namespace corefeed::network {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// A number of the element by the name of its key, or the other value where it is not given.
double number_or(const Element& element, std::string_view name, double otherwise) {
  const std::size_t key = losses::find_key(*element.kind, name);
  return key != losses::npos && (element.given >> key & 1U) != 0 ? element.numbers[key] : otherwise;
}

/// 1 m/s in the bore, or a supply's own flow; 0.3 kg/s where there is neither.
double typical_liquid_flow(const Element& element) {
  const double bore = number_or(element, "bore", 0.02);
  return std::max(std::abs(number_or(element, "flow", 800.0 * bore * bore)), 1e-3);
}

/// A flow to start from: 15 % of the car's speed (a face velocity seen on cars) through the element's own
/// area.
double typical_flow(const Network& network, const Element& element) {
  if (element.liquid != none) return typical_liquid_flow(element);
  const double speed = std::max(0.15 * network.outside.speed, 1.0);
  double area = 0.01;
  for (const char* name : {"area", "face_area", "inlet_area"}) area = number_or(element, name, area);
  return network.outside.density * speed * area;
}

Scales scales_of(const Network& network) {
  Scales scales{.flow = 1e-6, .pressure = std::max(network.outside.dynamic_head, 10.0)};
  for (const Element& element : network.elements) {
    double& flow = element.liquid == none ? scales.flow : scales.liquid_flow;
    flow = std::max(flow, typical_flow(network, element));
  }
  return scales;
}

/// Whether a law reads this number of the element as a quantity: no word, name or curve, and not absent.
bool is_quantity(const Element& element, std::size_t key) {
  const losses::Key& row = element.kind->keys[key];
  const bool number = row.choices.empty() && row.refers == losses::Refers::nothing && row.curve == nullptr;
  const bool given = (element.given >> key & 1U) != 0;
  return number && (given || row.need != losses::Need::optional);
}

/// Liquids start as hot as they run.
double start_temperature(const Network& network, int liquid) {
  return network.outside.total_temperature + (liquid == none ? 0.0 : 60.0);
}

/// Whether what leaves the element has a temperature of its own: of a core in a loop, of a supply. A core
/// that nothing heats passes on what comes; as an unknown that temperature would jump where the flow turns
/// round.
bool leaves_with_its_own(const Element& element) {
  return element.kind->heated && (element.coupled || element.from == none || element.to == none);
}

void add_unknowns(const Network& network, const Scales& scales, System& system, Places& places) {
  for (const Element& element : network.elements) {
    const double flow = typical_flow(network, element);
    places.flow.push_back(system.add_unknown({element.name + ".flow", flow, flow, Block::flow}));
  }
  for (const Node& node : network.nodes) {
    const double pressure = scales.pressure_of(node.liquid);
    const double temperature = start_temperature(network, node.liquid);
    places.pressure.push_back(
        system.add_unknown({node.name + ".total_pressure", 0.3 * pressure, pressure, Block::flow}));
    places.temperature.push_back(
        system.add_unknown({node.name + ".temperature", temperature, 50.0, Block::heat}));
    places.heat.push_back(node.liquid == none ? none : system.add_parameter(node.heat));
  }
  for (std::size_t i = 0; i < network.liquids.size(); ++i) {
    places.viscosity.push_back(system.add_parameter(1.0));
  }
  for (const Element& element : network.elements) {
    const bool own = leaves_with_its_own(element);
    const bool warms = element.coupled && element.liquid == none;
    const double leaving = start_temperature(network, element.liquid) + (warms ? 30.0 : 0.0);
    const char* const what = element.liquid == none ? ".air_temperature_out" : ".temperature_out";
    places.leaving.push_back(own ? system.add_unknown({element.name + what, leaving, 50.0, Block::heat})
                                 : none);
    const double scale = scales.pressure_of(element.liquid);
    places.tube_loss.push_back(
        element.tubes ? system.add_unknown({element.name + ".tube_loss", 0.1 * scale, scale, Block::flow})
                      : none);
    places.parameter.push_back(static_cast<int>(system.parameters().size()));
    for (std::size_t key = 0; key < element.numbers.size(); ++key) {
      system.add_parameter(element.numbers[key], is_quantity(element, key));
    }
  }
}

/// p_from - p_to - loss, with what stands outside an opening in place of the missing node.
Equation law_equation(const Assembly& assembly, int e) {
  const Element& element = assembly.network->elements[at(e)];
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const ElementStates states(assembly, e, unknowns, parameters);
  const LawResidual residual{states, element.kind, element.from != none, element.to != none};
  return {element.name, make_function(std::move(unknowns), std::move(parameters), residual),
          assembly.scales.pressure_of(element.liquid), Block::flow};
}

Equation given_equation(const std::string& name, int unknown, double value, double scale, Block block) {
  return {name, make_function({unknown}, {}, GivenResidual{value}), scale, block};
}

/// What flows to and from one node: sign +1 where the element ends there.
struct Incidence {
  int element;
  double sign;
};

/// By node, in the order of the elements.
std::vector<std::vector<Incidence>> incidences_of(const Network& network) {
  std::vector<std::vector<Incidence>> lists(network.nodes.size());
  for (std::size_t e = 0; e < network.elements.size(); ++e) {
    const Element& element = network.elements[e];
    if (element.to != none) lists[at(element.to)].push_back({static_cast<int>(e), 1.0});
    if (element.from != none) lists[at(element.from)].push_back({static_cast<int>(e), -1.0});
  }
  return lists;
}

Equation mass_equation(const Assembly& assembly, const Node& node, const std::vector<Incidence>& incidence) {
  std::vector<int> unknowns;
  std::vector<double> signs;
  for (const Incidence& one : incidence) {
    unknowns.push_back(assembly.places.flow[at(one.element)]);
    signs.push_back(one.sign);
  }
  return {node.name, make_function(std::move(unknowns), {}, MassResidual{std::move(signs)}),
          assembly.scales.flow_of(node.liquid), Block::flow};
}

/// Temperature that an element brings to a node: its own leaving temperature where it has one, else that of
/// the node at its other end, else that of the outside air.
int arriving_temperature(const Assembly& assembly, const Incidence& one) {
  const Element& element = assembly.network->elements[at(one.element)];
  const int leaving = assembly.places.leaving[at(one.element)];
  if (leaving != none) return leaving;
  const int other = one.sign > 0 ? element.from : element.to;
  return other == none ? none : assembly.places.temperature[at(other)];
}

std::vector<Stream> streams_of(const Assembly& assembly, const std::vector<Incidence>& incidence,
                               std::vector<int>& unknowns) {
  std::vector<Stream> streams;
  for (const Incidence& one : incidence) {
    Stream stream{static_cast<int>(unknowns.size()), none, one.sign};
    unknowns.push_back(assembly.places.flow[at(one.element)]);
    const int arriving = arriving_temperature(assembly, one);
    if (arriving != none) {
      stream.temperature = static_cast<int>(unknowns.size());
      unknowns.push_back(arriving);
    }
    streams.push_back(stream);
  }
  return streams;
}

Equation energy_equation(const Assembly& assembly, int node, const std::vector<Incidence>& incidence) {
  std::vector<int> unknowns{assembly.places.temperature[at(node)]};
  EnergyResidual residual{streams_of(assembly, incidence, unknowns), assembly.network};
  const std::string& name = assembly.network->nodes[at(node)].name;
  return {name, make_function(std::move(unknowns), {assembly.places.trace}, std::move(residual)),
          30.0 * assembly.scales.flow, Block::heat};
}

/// The same for a liquid, whose heat capacity changes with its temperature: enthalpies, and the heat that
/// enters here.
Equation liquid_energy_equation(const Assembly& assembly, int node, const std::vector<Incidence>& incidence) {
  const Node& given = assembly.network->nodes[at(node)];
  const fluids::Liquid liquid = assembly.network->liquids[at(given.liquid)];
  std::vector<int> unknowns{assembly.places.temperature[at(node)]};
  const std::vector<Stream> streams = streams_of(assembly, incidence, unknowns);
  auto residual = [streams, liquid, network = assembly.network]<class S>(const S* x, const S* p) {
    const double outside = network->outside.total_temperature;
    const S own = losses::liquid_enthalpy<S>(liquid, x[0]);
    S sum = p[0] + 1e-9 * (outside - x[0]);
    for (const Stream& stream : streams) {
      const S inflow = larger<S>(S(stream.sign * x[stream.flow]), S(0.0));
      const S arriving = stream.temperature == none ? S(outside) : x[stream.temperature];
      sum += inflow * (losses::liquid_enthalpy<S>(liquid, arriving) - own);
    }
    return sum;
  };
  constexpr double scale = 1e5;  // J/kg: 30 K of a liquid
  return {given.name, make_function(std::move(unknowns), {assembly.places.heat[at(node)]}, residual),
          scale * assembly.scales.flow_of(given.liquid), Block::heat};
}

/// A supply brings its own temperature, or lets out what comes.
Equation supply_equation(const Assembly& assembly, int e) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const ElementStates states(assembly, e, unknowns, parameters);
  const Element& element = assembly.network->elements[at(e)];
  const std::size_t own =
      element.from == none ? losses::find_key(*element.kind, "temperature") : losses::npos;
  auto residual = [states, own]<class S>(const S* x, const S* p) {
    std::optional<losses::Input<S>> neighbor;
    const losses::Input<S> in = states.input<S>(x, p, neighbor);
    const bool brings = own != losses::npos && in.has(own);
    const S before = brings ? in[own] : in.temperature_from;
    const S arriving = select<S>(in.forward(), before, in.temperature_to);
    const S rest = in.temperature_out - arriving;
    return rest;
  };
  return {assembly.network->elements[at(e)].name,
          make_function(std::move(unknowns), std::move(parameters), residual), 30.0, Block::heat};
}

/// Pressure and temperature of a node: each given, or by what flows in and out.
void add_node_equations(Assembly& assembly, int n, const std::vector<Incidence>& incidence) {
  const Network& net = *assembly.network;
  const Node& node = net.nodes[at(n)];
  const bool fixed = node.kind == NodeKind::fixed_pressure;
  assembly.system.add_equation(fixed || node.holds_pressure
                                   ? given_equation(node.name, assembly.places.pressure[at(n)],
                                                    node.total_pressure,
                                                    assembly.scales.pressure_of(node.liquid), Block::flow)
                                   : mass_equation(assembly, node, incidence));
  if (fixed && !node.holds_pressure) {
    assembly.system.add_equation(
        given_equation(node.name, assembly.places.temperature[at(n)], node.temperature, 30.0, Block::heat));
  } else {
    assembly.system.add_equation(node.liquid == none ? energy_equation(assembly, n, incidence)
                                                     : liquid_energy_equation(assembly, n, incidence));
  }
}

}  // namespace

ElementStates::Positions ElementStates::positions(const Assembly& assembly, int e, std::vector<int>& unknowns,
                                                  std::vector<int>& parameters) {
  const Element& element = assembly.network->elements[at(e)];
  const Places& places = assembly.places;
  const auto position = [&unknowns](int unknown) {
    const auto found = std::find(unknowns.begin(), unknowns.end(), unknown);
    if (found != unknowns.end()) return static_cast<int>(found - unknowns.begin());
    unknowns.push_back(unknown);
    return static_cast<int>(unknowns.size()) - 1;
  };
  Positions p;
  p.flow = position(places.flow[at(e)]);
  if (element.from != none) {
    p.pressure_from = position(places.pressure[at(element.from)]);
    p.temperature_from = position(places.temperature[at(element.from)]);
    p.from_plenum = assembly.network->nodes[at(element.from)].kind == NodeKind::plenum;
  }
  if (element.to != none) {
    p.pressure_to = position(places.pressure[at(element.to)]);
    p.temperature_to = position(places.temperature[at(element.to)]);
    p.to_plenum = assembly.network->nodes[at(element.to)].kind == NodeKind::plenum;
  }
  if (places.leaving[at(e)] != none) p.leaving = position(places.leaving[at(e)]);
  if (element.tubes) p.tube_loss = position(places.tube_loss[at(e)]);
  if (element.liquid != none) {
    p.liquid = &assembly.network->liquids[at(element.liquid)];
    p.viscosity = static_cast<int>(parameters.size());
    parameters.push_back(places.viscosity[at(element.liquid)]);
  }
  p.numbers = static_cast<int>(parameters.size());
  for (std::size_t i = 0; i < element.numbers.size(); ++i) {
    parameters.push_back(places.parameter[at(e)] + static_cast<int>(i));
  }
  p.given = element.given;
  p.fan_state = element.fan_state;
  p.leg = element.leg;
  // The network outlives the states: both hold it.
  p.curves = element.curves.empty() ? nullptr : element.curves.data();
  return p;
}

ElementStates::ElementStates(const Assembly& assembly, int e, std::vector<int>& unknowns,
                             std::vector<int>& parameters)
    : network_(assembly.network), own_(positions(assembly, e, unknowns, parameters)) {
  const Element& element = assembly.network->elements[at(e)];
  feeds_ = element.feeds != none;
  fed_ = element.fed_by != none;
  paired_ = element.sibling != none;
  int neighbor = feeds_ ? element.feeds : element.fed_by;
  if (paired_) neighbor = element.sibling;
  if (neighbor != none) neighbor_ = positions(assembly, neighbor, unknowns, parameters);
}

Assembly assemble(std::shared_ptr<const Network> network) {
  Assembly assembly;
  assembly.network = std::move(network);
  const Network& net = *assembly.network;
  assembly.scales = scales_of(net);
  assembly.places.trace = assembly.system.add_parameter(usual_trace, false);
  add_unknowns(net, assembly.scales, assembly.system, assembly.places);
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    assembly.system.add_equation(law_equation(assembly, static_cast<int>(e)));
    if (leaves_with_its_own(net.elements[e]) && !net.elements[e].coupled) {
      assembly.system.add_equation(supply_equation(assembly, static_cast<int>(e)));
    }
  }
  const std::vector<std::vector<Incidence>> incidences = incidences_of(net);
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    add_node_equations(assembly, static_cast<int>(n), incidences[n]);
  }
  return assembly;
}

}  // namespace corefeed::network
