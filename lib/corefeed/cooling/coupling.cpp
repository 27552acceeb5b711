// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/coupling.hpp"

#include <algorithm>

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
  auto residual = [core]<class S>(const S* x, const S* p) {
    const S expected = core.heat<S>(x, p).temperature_out;
    const S rest = core.leaving<S>(x, p) - expected;
    return rest;
  };
  return {problem.network.elements[at(element)].name,
          network::make_function(std::move(unknowns), std::move(parameters), residual), 30.0,
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
  auto residual = [cores, load, hot, held, slope]<class S>(const S* x, const S* p) {
    S surplus = held ? -x[load] : -p[load];
    for (const CoreStates& core : cores) surplus += core.carried<S>(x, p);
    if (held) return surplus;
    const S beyond = slope * (x[hot] - hottest_loop);
    const S rest = larger<S>(surplus, beyond);
    return rest;
  };
  return {given.name, network::make_function(std::move(unknowns), std::move(parameters), residual),
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

/// The temperature is the unknown and the heat load given, or the other way round.
void place_loop(const Loop& loop, network::Assembly& assembly, LoopPlaces& places) {
  network::System& system = assembly.system;
  places.held.push_back(loop.held_temperature.has_value());
  places.flow.push_back(system.add_parameter(loop.flow));
  if (loop.held_temperature) {
    places.temperature.push_back(system.add_parameter(*loop.held_temperature));
    places.heat_load.push_back(system.add_unknown(
        {loop.name + ".heat", loop.heat_load, std::max(loop.heat_load, 1000.0), network::Block::heat}));
    return;
  }
  // From the hot end the balance is nearly a straight line; from the cold one a loop without air has no slope.
  places.temperature.push_back(
      system.add_unknown({loop.name + ".temperature", hottest_loop, 50.0, network::Block::heat}));
  places.heat_load.push_back(system.add_parameter(loop.heat_load));
}

}  // namespace

CoreStates::CoreStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
                       int element, std::vector<int>& unknowns, std::vector<int>& parameters)
    : air_(assembly, element, unknowns, parameters) {
  const int loop = problem.loop_of[at(element)];
  fluid_ = problem.loops[at(loop)].fluid;
  equal_share_ = 1.0 / sharing_cores(problem, loop);
  held_ = loops.held[at(loop)];
  hot_ = position_in(held_ ? parameters : unknowns, loops.temperature[at(loop)]);
  flow_ = position_in(parameters, loops.flow[at(loop)]);
  load_ = position_in(held_ ? unknowns : parameters, loops.heat_load[at(loop)]);
}

LoopPlaces add_loops(const Case& problem, network::Assembly& assembly) {
  LoopPlaces places;
  for (const Loop& loop : problem.loops) place_loop(loop, assembly, places);
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    if (problem.loop_of[e] == network::none) continue;
    assembly.system.add_equation(leaving_equation(problem, assembly, places, static_cast<int>(e)));
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    const int loop = static_cast<int>(l);
    const bool cooled = std::count(problem.loop_of.begin(), problem.loop_of.end(), loop) > 0;
    assembly.system.add_equation(cooled ? balance_equation(problem, assembly, places, loop)
                                        : idle_equation(assembly, places, problem.loops[l].name, l));
  }
  return places;
}

}  // namespace corefeed::cooling
