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
  const int load = position_in(parameters, loops.heat_load[at(loop)]);
  const int hot = position_in(unknowns, loops.temperature[at(loop)]);
  const Loop& given = problem.loops[at(loop)];
  const double slope = std::max(given.heat_load, 1000.0) / 100.0;
  auto residual = [cores, load, hot, slope]<class S>(const S* x, const S* p) {
    S surplus = -p[load];
    for (const CoreStates& core : cores) surplus += core.carried<S>(x, p);
    const S beyond = slope * (x[hot] - hottest_loop_temperature);
    const S rest = larger<S>(surplus, beyond);
    return rest;
  };
  return {given.name, network::make_function(std::move(unknowns), std::move(parameters), residual),
          std::max(given.heat_load, 1000.0), network::Block::heat};
}

/// A loop that no core cools keeps the outside temperature; the model reader refuses it, tests may not.
network::Equation idle_equation(const network::Assembly& assembly, const std::string& name, int unknown) {
  auto residual = [net = assembly.network]<class S>(const S* x, const S*) {
    const S rest = x[0] - net->outside.total_temperature;
    return rest;
  };
  return {name, network::make_function({unknown}, {}, residual), 30.0, network::Block::heat};
}

}  // namespace

CoreStates::CoreStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
                       int element, std::vector<int>& unknowns, std::vector<int>& parameters)
    : air_(assembly, element, unknowns, parameters) {
  const int loop = problem.loop_of[at(element)];
  fluid_ = problem.loops[at(loop)].fluid;
  const auto sharing = std::count(problem.loop_of.begin(), problem.loop_of.end(), loop);
  equal_share_ = 1.0 / static_cast<double>(sharing);
  hot_ = position_in(unknowns, loops.temperature[at(loop)]);
  flow_ = position_in(parameters, loops.flow[at(loop)]);
  load_ = position_in(parameters, loops.heat_load[at(loop)]);
}

LoopPlaces add_loops(const Case& problem, network::Assembly& assembly) {
  LoopPlaces places;
  for (const Loop& loop : problem.loops) {
    // From the hot end the balance is nearly a straight line; from the cold one a loop without air has no
    // slope.
    places.temperature.push_back(assembly.system.add_unknown(
        {loop.name + ".temperature", hottest_loop_temperature, 50.0, network::Block::heat}));
    places.flow.push_back(assembly.system.add_parameter(loop.flow));
    places.heat_load.push_back(assembly.system.add_parameter(loop.heat_load));
  }
  for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
    if (problem.loop_of[e] == network::none) continue;
    assembly.system.add_equation(leaving_equation(problem, assembly, places, static_cast<int>(e)));
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    const int loop = static_cast<int>(l);
    const bool cooled = std::count(problem.loop_of.begin(), problem.loop_of.end(), loop) > 0;
    assembly.system.add_equation(cooled
                                     ? balance_equation(problem, assembly, places, loop)
                                     : idle_equation(assembly, problem.loops[l].name, places.temperature[l]));
  }
  return places;
}

}  // namespace corefeed::cooling
