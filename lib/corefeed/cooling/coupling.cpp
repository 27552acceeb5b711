// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/coupling.hpp"

#include <algorithm>

#include "corefeed/cooling/residuals.hpp"

namespace corefeed::cooling {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

int position_in(std::vector<int>& list, int index) {
  const auto found = std::find(list.begin(), list.end(), index);
  if (found != list.end()) return static_cast<int>(found - list.begin());
  list.push_back(index);
  return static_cast<int>(list.size()) - 1;
}

/// How many cores the flow of a loop parts into; the zones of a split core are one.
double sharing_cores(const Case& problem, int loop) {
  double cores = 0.0;
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    if (problem.loop_of[e] != loop) continue;
    const auto in_zones = [e](const Path& path) {
      return path.parallel &&
             std::count(path.elements.begin() + 1, path.elements.end(), static_cast<int>(e)) > 0;
    };
    if (std::none_of(problem.paths.begin(), problem.paths.end(), in_zones)) cores += 1.0;
  }
  return cores;
}

/// The core's leaving temperature is that of its effectiveness.
network::Equation leaving_equation(const Case& problem, const network::Assembly& assembly,
                                   const LoopPlaces& loops, int element) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const CoreStates core(problem, assembly, loops, element, unknowns, parameters);
  return {problem.network.elements[at(element)].name,
          network::make_function(std::move(unknowns), std::move(parameters), LeavingResidual{core}), 30.0,
          network::Block::heat};
}

/// The cores of a loop give off its heat load, or as much as they can at the hottest temperature a loop may
/// have: with the air at rest no temperature would be hot enough.
network::Equation balance_equation(const Case& problem, const network::Assembly& assembly,
                                   const LoopPlaces& loops, int loop) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::vector<CoreStates> cores;
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    if (problem.loop_of[e] != loop) continue;
    cores.emplace_back(problem, assembly, loops, static_cast<int>(e), unknowns, parameters);
  }
  const bool held = loops.held[at(loop)];
  const int load = position_in(held ? unknowns : parameters, loops.heat_load[at(loop)]);
  const int hot = position_in(held ? parameters : unknowns, loops.temperature[at(loop)]);
  const Loop& given = problem.loops[at(loop)];
  const double slope = std::max(given.heat_load, 1000.0) / 100.0;
  BalanceResidual residual{std::move(cores), load, hot, held, slope};
  return {given.name, network::make_function(std::move(unknowns), std::move(parameters), std::move(residual)),
          std::max(given.heat_load, 1000.0), network::Block::heat};
}

/// A loop that no core cools keeps the outside temperature, or gives no heat; the model reader refuses it,
/// tests may not.
network::Equation idle_equation(const network::Assembly& assembly, const LoopPlaces& loops,
                                const std::string& name, std::size_t loop) {
  const bool held = loops.held[loop];
  auto residual = [net = assembly.network, held]<class S>(const S* x, const S*) {
    const S rest = x[0] - (held ? 0.0 : net->outside.total_temperature);
    return rest;
  };
  const int unknown = loops.held[loop] ? loops.heat_load[loop] : loops.temperature[loop];
  return {name, network::make_function({unknown}, {}, residual), 30.0, network::Block::heat};
}

/// What a liquid side gives off is what its stream has lost: h_in - h_out = Q/m.
template <class Heat>
network::Equation liquid_leaving_equation(const std::string& name, const PassageStates& passage, Heat heat,
                                          std::vector<int> unknowns, std::vector<int> parameters) {
  auto residual = [passage, heat]<class S>(const S* x, const S* p) {
    const losses::Input<S> in = passage.input<S>(x, p);
    const Stream<S> stream = stream_of<S>(in);
    const S fall = losses::liquid_enthalpy<S>(*in.liquid, stream.in) -
                   losses::liquid_enthalpy<S>(*in.liquid, stream.out);
    const S rest = fall - heat.template operator()<S>(x, p) / stream.flow;
    return rest;
  };
  constexpr double scale = 1e5;  // J/kg: 30 K of a liquid
  return {name, network::make_function(std::move(unknowns), std::move(parameters), residual), scale,
          network::Block::heat};
}

/// The liquid side of a core.
network::Equation passage_equation(const Case& problem, const network::Assembly& assembly,
                                   const LoopPlaces& loops, int element) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const PassageStates passage(problem, assembly, loops, element, unknowns, parameters);
  const CoreStates core(problem, assembly, loops, problem.other_side[at(element)], unknowns, parameters);
  auto heat = [core]<class S>(const S* x, const S* p) { return core.heat<S>(x, p).heat; };
  return liquid_leaving_equation(problem.network.elements[at(element)].name, passage, heat,
                                 std::move(unknowns), std::move(parameters));
}

/// One side of a cooler between two liquids; the second takes up what the first gives off.
network::Equation pair_equation(const Case& problem, const network::Assembly& assembly,
                                const LoopPlaces& loops, const LiquidPair& pair, bool first) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const int element = first ? pair.named_by : pair.named;
  const PassageStates passage(problem, assembly, loops, element, unknowns, parameters);
  const PairStates both(problem, assembly, loops, pair, unknowns, parameters);
  const double sign = first ? 1.0 : -1.0;
  auto heat = [both, sign]<class S>(const S* x, const S* p) {
    const S given = sign * both.heat<S>(x, p);
    return given;
  };
  return liquid_leaving_equation(problem.network.elements[at(element)].name, passage, heat,
                                 std::move(unknowns), std::move(parameters));
}

/// T_w = T_mean - Q/hA of the liquid side.
network::Equation wall_equation(const Case& problem, const network::Assembly& assembly,
                                const LoopPlaces& loops, int element) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const PassageStates passage(problem, assembly, loops, element, unknowns, parameters);
  auto residual = [passage]<class S>(const S* x, const S* p) {
    const losses::Input<S> in = passage.input<S>(x, p);
    const S wall = passage.wall<S>(x);
    const S drop = heat_given<S>(in) / tube_conductance<S>(*passage.tubes(), in, wall);
    const S rest = wall - (stream_of<S>(in).mean() - drop);
    return rest;
  };
  return {problem.network.elements[at(element)].name + " wall",
          network::make_function(std::move(unknowns), std::move(parameters), residual), 30.0,
          network::Block::heat};
}

network::Equation tube_loss_equation(const Case& problem, const network::Assembly& assembly,
                                     const LoopPlaces& loops, int element) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const PassageStates passage(problem, assembly, loops, element, unknowns, parameters);
  auto residual = [passage]<class S>(const S* x, const S* p) {
    const losses::Input<S> in = passage.input<S>(x, p);
    const S rest = in.tube_loss - tube_loss<S>(*passage.tubes(), in, passage.wall<S>(x));
    return rest;
  };
  constexpr double scale = 5e4;  // Pa
  return {problem.network.elements[at(element)].name + " tubes",
          network::make_function(std::move(unknowns), std::move(parameters), residual), scale,
          network::Block::flow};
}

/// The temperature is the unknown and the heat load given, or the other way round. Of a network both are
/// answers.
void place_loop(const Loop& loop, network::Assembly& assembly, LoopPlaces& places) {
  network::System& system = assembly.system;
  places.held.push_back(loop.held_temperature.has_value());
  if (loop.is_network()) {
    places.temperature.push_back(network::none);
    places.flow.push_back(network::none);
    places.heat_load.push_back(
        loop.heated_node == network::none ? network::none : assembly.places.heat[at(loop.heated_node)]);
    return;
  }
  places.flow.push_back(system.add_parameter(loop.flow));
  if (loop.held_temperature) {
    places.temperature.push_back(system.add_parameter(*loop.held_temperature));
    places.heat_load.push_back(system.add_unknown(
        {loop.name + ".heat", loop.heat_load, std::max(loop.heat_load, 1000.0), network::Block::heat}));
    return;
  }
  // From the hot end the balance is nearly a straight line; from the cold one a loop without air has no
  // slope.
  places.temperature.push_back(
      system.add_unknown({loop.name + ".temperature", hottest_loop_temperature, 50.0, network::Block::heat}));
  places.heat_load.push_back(system.add_parameter(loop.heat_load));
}

/// Unknowns and parameters of all loops, before any equation reads them.
LoopPlaces add_places(const Case& problem, network::Assembly& assembly) {
  LoopPlaces places;
  for (const Loop& loop : problem.loops) place_loop(loop, assembly, places);
  const double start = assembly.network->outside.total_temperature + 50.0;
  for (const network::Element& element : assembly.network->elements) {
    places.wall.push_back(element.tubes ? assembly.system.add_unknown({element.name + ".wall_temperature",
                                                                       start, 50.0, network::Block::heat})
                                        : network::none);
  }
  return places;
}

/// The equations of one element that gives or takes heat.
void add_element_equations(const Case& problem, network::Assembly& assembly, const LoopPlaces& places,
                           int element) {
  const network::Element& given = problem.network.elements[at(element)];
  if (problem.loop_of[at(element)] != network::none) {
    assembly.system.add_equation(leaving_equation(problem, assembly, places, element));
  } else if (given.liquid != network::none && problem.other_side[at(element)] != network::none) {
    assembly.system.add_equation(passage_equation(problem, assembly, places, element));
  }
  if (!given.tubes) return;
  assembly.system.add_equation(wall_equation(problem, assembly, places, element));
  assembly.system.add_equation(tube_loss_equation(problem, assembly, places, element));
}

}  // namespace

PassageStates::PassageStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
                             int element, std::vector<int>& unknowns, std::vector<int>& parameters)
    : states_(assembly, element, unknowns, parameters) {
  const network::Element& given = problem.network.elements[at(element)];
  if (losses::find_key(*given.kind, "passes") == losses::npos) return;
  tubes_ = tube_side_of(given.values());
  passes_ = static_cast<int>(given.numbers[losses::passage::passes]);
  place_ = given.numbers[losses::passage::pass_layout] > 0.5 ? PassLayout::depth : PassLayout::face;
  if (tubes_) wall_ = position_in(unknowns, loops.wall[at(element)]);
}

CoreStates::CoreStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
                       int element, std::vector<int>& unknowns, std::vector<int>& parameters)
    : air_(assembly, element, unknowns, parameters) {
  const int loop = problem.loop_of[at(element)];
  fluid_ = problem.loops[at(loop)].fluid;
  if (problem.loops[at(loop)].is_network()) {
    passage_.emplace(problem, assembly, loops, problem.other_side[at(element)], unknowns, parameters);
    return;
  }
  equal_share_ = 1.0 / sharing_cores(problem, loop);
  held_ = loops.held[at(loop)];
  hot_ = position_in(held_ ? parameters : unknowns, loops.temperature[at(loop)]);
  flow_ = position_in(parameters, loops.flow[at(loop)]);
  load_ = position_in(held_ ? unknowns : parameters, loops.heat_load[at(loop)]);
}

PairStates::PairStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
                       const LiquidPair& pair, std::vector<int>& unknowns, std::vector<int>& parameters)
    : first_(problem, assembly, loops, pair.named_by, unknowns, parameters),
      second_(problem, assembly, loops, pair.named, unknowns, parameters) {}

void mark_coupled(Case& problem) {
  auto& elements = problem.network.elements;
  problem.loop_of.resize(elements.size(), network::none);
  problem.other_side.resize(elements.size(), network::none);
  for (std::size_t e = 0; e < elements.size(); ++e) {
    elements[e].coupled = problem.loop_of[e] != network::none || problem.other_side[e] != network::none;
  }
  for (const LiquidPair& pair : problem.pairs) {
    for (const int side : {pair.named_by, pair.named})
      elements[static_cast<std::size_t>(side)].coupled = true;
  }
}

LoopPlaces add_loops(const Case& problem, network::Assembly& assembly) {
  LoopPlaces places = add_places(problem, assembly);
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    add_element_equations(problem, assembly, places, static_cast<int>(e));
  }
  for (const LiquidPair& pair : problem.pairs) {
    for (const bool first : {true, false}) {
      assembly.system.add_equation(pair_equation(problem, assembly, places, pair, first));
    }
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    if (problem.loops[l].is_network()) continue;
    const int loop = static_cast<int>(l);
    const bool cooled = std::count(problem.loop_of.begin(), problem.loop_of.end(), loop) > 0;
    assembly.system.add_equation(cooled ? balance_equation(problem, assembly, places, loop)
                                        : idle_equation(assembly, places, problem.loops[l].name, l));
  }
  return places;
}

}  // namespace corefeed::cooling
