// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/quantities.hpp"

#include <array>
#include <cmath>

#include "corefeed/cooling/liquid_quantities.hpp"

namespace corefeed::cooling {
namespace {

using network::Function;
using network::make_function;
using network::none;
using units::Quantity;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

using Row = NumberRow;

constexpr std::array<Row, 6> core_numbers{{{"heat", Quantity::power},
                                           {"effectiveness", Quantity::number},
                                           {"ntu", Quantity::number},
                                           {"conductance", Quantity::conductance},
                                           {"capacity_ratio", Quantity::number},
                                           {"air_temperature_out", Quantity::temperature}}};
constexpr std::array<Row, 3> car_numbers{{{"cooling_drag", Quantity::force},
                                          {"cooling_drag_upper", Quantity::force},
                                          {"cooling_drag_coefficient", Quantity::number}}};
constexpr std::array<Row, 2> path_numbers{
    {{"flow", Quantity::mass_flow}, {"pressure_loss", Quantity::pressure_difference}}};
constexpr std::array<Row, 2> node_numbers{
    {{"total_pressure", Quantity::pressure_gauge}, {"temperature", Quantity::temperature}}};
constexpr std::array<Row, 4> loop_numbers{{{"temperature", Quantity::temperature},
                                           {"temperature_cold", Quantity::temperature},
                                           {"flow", Quantity::mass_flow},
                                           {"heat", Quantity::power}}};

/// Whether a drag coefficient makes sense: a frontal area is known and the car moves.
bool has_drag_coefficient(const Case& problem) {
  return problem.frontal_area > 0.0 && problem.network.outside.dynamic_head > 0.0;
}

/// One number of a law's terms.
enum class Part { loss, item, reported, mach };

template <class S>
S mach_of(const losses::Input<S>& in, const Same<S>& velocity) {
  using std::sqrt;
  const S temperature = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S sound = sqrt(S(1.4 * in.outside->air.gas_constant * temperature));
  const S mach = velocity / sound;
  return mach;
}

Function term_function(const Solved& solved, int e, Part part, std::size_t which) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const network::ElementStates states(solved.assembly, e, unknowns, parameters);
  const losses::Kind* kind = solved.problem.network.elements[at(e)].kind;
  auto number = [states, kind, part, which]<class S>(const S* x, const S* p) {
    std::optional<losses::Input<S>> neighbor;
    const losses::Input<S> in = states.input<S>(x, p, neighbor);
    losses::Terms<S> terms;
    network::apply_law<S>(*kind, in, terms);
    switch (part) {
      case Part::loss:
        return terms.pressure_loss();
      case Part::item:
        return terms.item[which];
      case Part::reported:
        return terms.reported[which];
      case Part::mach:
        return mach_of<S>(in, terms.reported[which]);
    }
    return S(0.0);
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

template <class S>
S heat_number(const CoreHeat<S>& heat, std::size_t which) {
  switch (which) {
    case 0:
      return heat.heat;
    case 1:
      return heat.effectiveness;
    case 2:
      return heat.ntu;
    case 3:
      return heat.conductance;
    case 4:
      return heat.capacity_ratio;
    default:
      return heat.temperature_out;
  }
}

Function heat_function(const Solved& solved, int e, std::size_t which) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const CoreStates core(solved.problem, solved.assembly, solved.loops, e, unknowns, parameters);
  auto number = [core, which]<class S>(const S* x, const S* p) {
    return heat_number<S>(core.heat<S>(x, p), which);
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

Function unknown_function(int unknown) {
  return make_function({unknown}, {}, []<class S>(const S* x, const S*) { return x[0]; });
}

Function parameter_function(int parameter) {
  return make_function({}, {parameter}, []<class S>(const S*, const S* p) { return p[0]; });
}

/// Hot less what the cores took, over the loop's flow and heat capacity at the mean.
Function cold_function(const Solved& solved, int loop) {
  const fluids::Liquid fluid = solved.problem.loops[at(loop)].fluid;
  const bool held = solved.loops.held[at(loop)];
  auto number = [fluid, held]<class S>(const S* x, const S* p) {
    const S hot = held ? p[1] : x[0];
    const S heat = held ? x[0] : p[1];
    const S rough = heat / (p[0] * fluid.heat_capacity(hot));
    const S mean = hot - 0.5 * rough;
    const S fall = heat / (p[0] * fluid.heat_capacity(mean));
    const S cold = hot - fall;
    return cold;
  };
  const int found = held ? solved.loops.heat_load[at(loop)] : solved.loops.temperature[at(loop)];
  return make_function({found}, {solved.loops.flow[at(loop)], solved.loops.given(at(loop))}, number);
}

/// One vent in the sum of the cooling drag.
struct DragVent {
  network::ElementStates states;
  const losses::Kind* kind;
  std::size_t area, jet_angle;
};

/// Wake form over vents that flow outward: m (V_inf - V_w cos theta), the jet expanded back to ambient
/// pressure from p_t,exit = p_s + q_v (Rogallo 1941, NACA Rep. 713, from memory); upper form: m V_inf.
template <class S>
S drag_of(const DragVent& vent, const S* x, const S* p, bool upper) {
  using std::cos;
  using std::sqrt;
  std::optional<losses::Input<S>> neighbor;
  const losses::Input<S> in = vent.states.input<S>(x, p, neighbor);
  const S flow = larger<S>(in.mass_flow, S(0.0));
  const double speed = in.outside->speed;
  if (upper) return flow * speed * std::cos(in.outside->yaw);
  losses::Terms<S> terms;
  network::apply_law<S>(*vent.kind, in, terms);
  const losses::Local<S> local = losses::upwind<S>(in, in[vent.area]);
  const S left = larger<S>(S(terms.boundary + local.head), S(0.0));
  const S rooted = 2.0 * left / local.density + 1e-12;
  const S wake = sqrt(rooted);
  const S drag = flow * (speed - wake * cos(in[vent.jet_angle]));
  return drag;
}

/// In N, or as a coefficient of the frontal area where one is given.
Function drag_function(const Solved& solved, bool upper, double frontal_area) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::vector<DragVent> vents;
  const auto& elements = solved.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (elements[e].kind->ends != losses::Ends::no_to) continue;
    vents.push_back({network::ElementStates(solved.assembly, static_cast<int>(e), unknowns, parameters),
                     elements[e].kind, losses::find_key(*elements[e].kind, "area"),
                     losses::find_key(*elements[e].kind, "jet_angle")});
  }
  auto number = [vents, upper, frontal_area, net = solved.assembly.network]<class S>(const S* x, const S* p) {
    S sum(0.0);
    for (const DragVent& vent : vents) sum += drag_of<S>(vent, x, p, upper);
    const double divisor = frontal_area > 0.0 ? net->outside.dynamic_head * frontal_area : 1.0;
    const S result = sum / divisor;
    return result;
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

std::size_t reported_index(const losses::Kind& kind, std::string_view name) {
  for (std::size_t i = 0; i < kind.reported.size(); ++i) {
    if (kind.reported[i].name == name) return i;
  }
  return losses::npos;
}

std::optional<Function> element_function(const Solved& solved, int e, std::string_view what) {
  const losses::Kind& kind = *solved.problem.network.elements[at(e)].kind;
  if (what == "flow") return unknown_function(solved.assembly.places.flow[at(e)]);
  if (what == "pressure_loss") return term_function(solved, e, Part::loss, 0);
  const std::size_t reported = reported_index(kind, what);
  if (reported != losses::npos) return term_function(solved, e, Part::reported, reported);
  const network::Element& element = solved.problem.network.elements[at(e)];
  for (const Row& row : liquid_rows(solved.problem, at(e))) {
    if (row.name == what) return liquid_function(solved, e, row.name);
  }
  const std::size_t velocity = reported_index(kind, "velocity");
  if (what == "mach" && velocity != losses::npos && element.liquid == none)
    return term_function(solved, e, Part::mach, velocity);
  if (solved.problem.loop_of[at(e)] == none) return std::nullopt;
  for (std::size_t i = 0; i < core_numbers.size(); ++i) {
    if (core_numbers[i].name == what) return heat_function(solved, e, i);
  }
  return std::nullopt;
}

/// What all elements carry together: the flow at a junction's common port.
Function sum_function(const Solved& solved, const std::vector<int>& elements) {
  std::vector<int> unknowns;
  for (const int e : elements) unknowns.push_back(solved.assembly.places.flow[at(e)]);
  const std::size_t count = unknowns.size();
  auto number = [count]<class S>(const S* x, const S*) {
    S sum(0.0);
    for (std::size_t i = 0; i < count; ++i) sum += x[i];
    return sum;
  };
  return make_function(std::move(unknowns), {}, number);
}

/// A core that is split into zones.
bool is_split_core(const Case& problem, const Path& path) {
  return path.parallel && problem.network.elements[at(path.elements.front())].kind->heated;
}

/// The sum of several numbers, each with a weight.
Function weighted_sum(std::vector<Function> parts, std::vector<double> weights) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::vector<std::array<std::size_t, 2>> begin;
  for (const Function& part : parts) {
    begin.push_back({unknowns.size(), parameters.size()});
    unknowns.insert(unknowns.end(), part.unknowns.begin(), part.unknowns.end());
    parameters.insert(parameters.end(), part.parameters.begin(), part.parameters.end());
  }
  auto sum = [parts = std::move(parts), weights = std::move(weights), begin = std::move(begin)]<class S>(
                 const S* x, const S* p) {
    S total(0.0);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      total += weights[i] * parts[i].formula->evaluate(x + begin[i][0], p + begin[i][1]);
    }
    return total;
  };
  return make_function(std::move(unknowns), std::move(parameters), sum);
}

/// Heat of all zones, or their face velocity averaged over the face.
std::optional<Function> split_core_function(const Solved& solved, const Path& path, std::string_view what) {
  const bool heat = what == "heat" && solved.problem.loop_of[at(path.elements.front())] != none;
  if (!heat && what != "face_velocity") return std::nullopt;
  std::vector<Function> parts;
  std::vector<double> weights;
  for (const int e : path.elements) {
    const network::Element& zone = solved.problem.network.elements[at(e)];
    const std::size_t velocity = reported_index(*zone.kind, "face_velocity");
    parts.push_back(heat ? heat_function(solved, e, 0) : term_function(solved, e, Part::reported, velocity));
    weights.push_back(heat ? 1.0 : zone.numbers[losses::core::share]);
  }
  return weighted_sum(std::move(parts), std::move(weights));
}

/// Flow of the first piece; the pieces' losses summed. A junction has one flow, but a loss for each leg.
std::optional<Function> path_function(const Solved& solved, const Path& path, std::string_view what) {
  if (is_split_core(solved.problem, path) && what != "flow") return split_core_function(solved, path, what);
  if (what == "flow" && path.parallel) return sum_function(solved, path.elements);
  if (what == "flow") return unknown_function(solved.assembly.places.flow[at(path.elements.front())]);
  if (what != "pressure_loss" || path.parallel) return std::nullopt;
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::vector<std::pair<network::ElementStates, const losses::Kind*>> pieces;
  for (const int e : path.elements) {
    pieces.emplace_back(network::ElementStates(solved.assembly, e, unknowns, parameters),
                        solved.problem.network.elements[at(e)].kind);
  }
  auto number = [pieces]<class S>(const S* x, const S* p) {
    S sum(0.0);
    for (const auto& [states, kind] : pieces) {
      std::optional<losses::Input<S>> neighbor;
      const losses::Input<S> in = states.template input<S>(x, p, neighbor);
      losses::Terms<S> terms;
      network::apply_law<S>(*kind, in, terms);
      sum += terms.pressure_loss();
    }
    return sum;
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

bool boils(const Loop& loop) { return std::isfinite(loop.boiling_temperature); }

/// Kelvin between the hottest liquid and where it boils.
Function boiling_margin(const Solved& solved, int loop) {
  const double boiling = solved.problem.loops[at(loop)].boiling_temperature;
  const int temperature = solved.loops.temperature[at(loop)];
  const bool held = solved.loops.held[at(loop)];
  auto number = [boiling, held]<class S>(const S* x, const S* p) {
    const S margin = boiling - (held ? p[0] : x[0]);
    return margin;
  };
  if (held) return make_function({}, {temperature}, number);
  return make_function({temperature}, {}, number);
}

std::optional<Function> loop_function(const Solved& solved, int loop, std::string_view what) {
  if (solved.problem.loops[at(loop)].is_network()) return network_loop_function(solved, loop, what);
  const bool held = solved.loops.held[at(loop)];
  const int temperature = solved.loops.temperature[at(loop)];
  const int heat = solved.loops.heat_load[at(loop)];
  if (what == "boiling_margin" && boils(solved.problem.loops[at(loop)])) return boiling_margin(solved, loop);
  if (what == "temperature") return held ? parameter_function(temperature) : unknown_function(temperature);
  if (what == "temperature_cold") return cold_function(solved, loop);
  if (what == "flow") return parameter_function(solved.loops.flow[at(loop)]);
  if (what == "heat") return held ? unknown_function(heat) : parameter_function(heat);
  return std::nullopt;
}

std::optional<Function> car_function(const Solved& solved, std::string_view what) {
  const Case& problem = solved.problem;
  if (what == "cooling_drag") return drag_function(solved, false, 0.0);
  if (what == "cooling_drag_upper") return drag_function(solved, true, 0.0);
  if (what == "cooling_drag_coefficient" && has_drag_coefficient(problem)) {
    return drag_function(solved, false, problem.frontal_area);
  }
  return std::nullopt;
}

double value_at(const Solved& solved, const Function& function) {
  return network::evaluate(function, solved.x, solved.assembly.system.parameters());
}

}  // namespace

std::vector<NamedQuantity> quantity_names(const Case& problem) {
  std::vector<NamedQuantity> names;
  const auto add = [&names](const std::string& owner, std::string_view what, Quantity quantity) {
    names.push_back({owner + "." + std::string(what), quantity});
  };
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    const network::Element& element = problem.network.elements[e];
    add(element.name, "flow", Quantity::mass_flow);
    add(element.name, "pressure_loss", Quantity::pressure_difference);
    for (const losses::Reported& row : element.kind->reported) add(element.name, row.name, row.quantity);
    if (reported_index(*element.kind, "velocity") != losses::npos && element.liquid == none)
      add(element.name, "mach", Quantity::number);
    for (const Row& row : liquid_rows(problem, e)) add(element.name, row.name, row.quantity);
    if (problem.loop_of[e] == none) continue;
    for (const Row& row : core_numbers) add(element.name, row.name, row.quantity);
  }
  for (const Path& path : problem.paths) {
    for (const Row& row : path_numbers) {
      if (row.name == "flow" || !path.parallel) add(path.name, row.name, row.quantity);
    }
    if (!is_split_core(problem, path)) continue;
    add(path.name, "face_velocity", Quantity::velocity);
    if (problem.loop_of[at(path.elements.front())] != none) add(path.name, "heat", Quantity::power);
  }
  for (const network::Node& node : problem.network.nodes) {
    for (const Row& row : node_numbers) add(node.name, row.name, row.quantity);
  }
  for (const Loop& loop : problem.loops) {
    for (const Row& row : loop_numbers) add(loop.name, row.name, row.quantity);
    if (boils(loop)) add(loop.name, "boiling_margin", Quantity::temperature_difference);
  }
  for (const Row& row : car_numbers) {
    if (row.name != "cooling_drag_coefficient" || has_drag_coefficient(problem))
      add("car", row.name, row.quantity);
  }
  return names;
}

ElementState element_state(const Solved& solved, int e) {
  const losses::Kind& kind = *solved.problem.network.elements[at(e)].kind;
  ElementState state;
  state.flow = solved.x[at(solved.assembly.places.flow[at(e)])];
  state.pressure_loss = value_at(solved, term_function(solved, e, Part::loss, 0));
  for (std::size_t i = 0; i < kind.items.size(); ++i) {
    state.items.push_back({kind.items[i], value_at(solved, term_function(solved, e, Part::item, i))});
  }
  for (std::size_t i = 0; i < kind.reported.size(); ++i) {
    state.numbers.push_back({kind.reported[i].name, kind.reported[i].quantity,
                             value_at(solved, term_function(solved, e, Part::reported, i))});
  }
  const std::size_t velocity = reported_index(kind, "velocity");
  const network::Element& element = solved.problem.network.elements[at(e)];
  if (velocity != losses::npos && element.liquid == none) {
    state.numbers.push_back(
        {"mach", Quantity::number, value_at(solved, term_function(solved, e, Part::mach, velocity))});
  }
  for (const Row& row : liquid_rows(solved.problem, at(e))) {
    state.numbers.push_back({row.name, row.quantity, value_at(solved, liquid_function(solved, e, row.name))});
  }
  add_header_numbers(solved, e, state);
  if (solved.problem.loop_of[at(e)] == none) return state;
  for (std::size_t i = 0; i < core_numbers.size(); ++i) {
    const Row& number = core_numbers[i];
    state.numbers.push_back({number.name, number.quantity, value_at(solved, heat_function(solved, e, i))});
  }
  return state;
}

std::vector<Number> car_state(const Solved& solved) {
  std::vector<Number> numbers;
  for (const Row& row : car_numbers) {
    const auto function = car_function(solved, row.name);
    if (function) numbers.push_back({row.name, row.quantity, value_at(solved, *function)});
  }
  return numbers;
}

LoopState loop_state(const Solved& solved, int loop) {
  const auto number = [&](std::string_view what) {
    return value_at(solved, *loop_function(solved, loop, what));
  };
  return {.temperature = number("temperature"),
          .temperature_cold = number("temperature_cold"),
          .flow = number("flow"),
          .heat = number("heat")};
}

std::optional<Function> quantity_function(const Solved& solved, std::string_view name) {
  const std::size_t dot = name.find('.');
  if (dot == std::string_view::npos) return std::nullopt;
  const std::string_view owner = name.substr(0, dot);
  const std::string_view what = name.substr(dot + 1);
  const network::Network& net = solved.problem.network;
  if (owner == "car") return car_function(solved, what);
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    if (net.elements[e].name == owner) return element_function(solved, static_cast<int>(e), what);
  }
  for (const Path& path : solved.problem.paths) {
    if (path.name == owner) return path_function(solved, path, what);
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    if (solved.problem.loops[l].name == owner) return loop_function(solved, static_cast<int>(l), what);
  }
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (net.nodes[n].name != owner) continue;
    if (what == "total_pressure") return unknown_function(solved.assembly.places.pressure[n]);
    if (what == "temperature") return unknown_function(solved.assembly.places.temperature[n]);
  }
  return std::nullopt;
}

}  // namespace corefeed::cooling
