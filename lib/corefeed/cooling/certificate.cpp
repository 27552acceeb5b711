// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/certificate.hpp"

#include <algorithm>
#include <cmath>

namespace corefeed::cooling {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

network::FlowState state_of(const Solved& solved) {
  const network::Places& places = solved.assembly.places;
  const auto pick = [&solved](const std::vector<int>& list) {
    std::vector<double> values;
    for (const int place : list) values.push_back(place == network::none ? 0.0 : solved.x[at(place)]);
    return values;
  };
  network::FlowState state{pick(places.flow), pick(places.pressure), pick(places.temperature),
                           pick(places.leaving), pick(places.tube_loss)};
  // A core that nothing heats passes on what comes.
  const auto& elements = solved.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (places.leaving[e] != network::none) continue;
    const int before = state.flow[e] >= 0.0 ? elements[e].from : elements[e].to;
    if (before != network::none) state.leaving[e] = state.temperature[at(before)];
  }
  return state;
}

/// Heat that a core's air takes up from where it comes in to where it goes out, W.
double taken_up(const network::Network& net, const network::FlowState& state, std::size_t e) {
  const network::Element& element = net.elements[e];
  const int before = state.flow[e] >= 0.0 ? element.from : element.to;
  const double came = before == network::none ? net.outside.total_temperature : state.temperature[at(before)];
  return std::abs(state.flow[e]) * net.outside.air.heat_capacity * (state.leaving[e] - came);
}

double by_effectiveness(const Solved& solved, int e) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const CoreStates core(solved.problem, solved.assembly, solved.loops, e, unknowns, parameters);
  const auto heat = network::make_function(
      unknowns, parameters, [core]<class S>(const S* x, const S* p) { return core.heat<S>(x, p).heat; });
  return network::evaluate(heat, solved.x, solved.assembly.system.parameters());
}

}  // namespace

network::Certificate certificate_of(const Solved& solved) {
  const network::Network& net = solved.problem.network;
  const network::FlowState state = state_of(solved);
  network::Certificate certificate = network::certify(net, state);
  std::vector<double> given(solved.problem.loops.size(), 0.0);
  network::Balance heat;
  heat.scale = certificate.energy.scale;
  for (const Loop& loop : solved.problem.loops) heat.scale = std::max(heat.scale, std::abs(loop.heat_load));
  for (std::size_t e = 0; e < solved.problem.loop_of.size(); ++e) {
    const int loop = solved.problem.loop_of[e];
    if (loop == network::none) continue;
    const double taken = taken_up(net, state, e);
    heat.note(taken - by_effectiveness(solved, static_cast<int>(e)), net.elements[e].name);
    given[at(loop)] += taken;
  }
  for (std::size_t l = 0; l < given.size(); ++l) {
    const bool cooled =
        std::count(solved.problem.loop_of.begin(), solved.problem.loop_of.end(), static_cast<int>(l)) > 0;
    // The nodes of a network balance its heat.
    if (!cooled || solved.problem.loops[l].is_network()) continue;
    double load = solved.problem.loops[l].heat_load;
    if (solved.loops.held[l]) {
      load = solved.x[at(solved.loops.heat_load[l])];
    } else if (solved.x[at(solved.loops.temperature[l])] >= hottest_loop_temperature - 1e-3) {
      // A loop without a steady temperature stays at the highest and gives off what it can.
      continue;
    }
    heat.note(given[l] - load, solved.problem.loops[l].name);
  }
  // Both were measured on scales of their own; the loops' may be the larger one.
  certificate.energy.worst *= certificate.energy.scale / heat.scale;
  certificate.energy.scale = heat.scale;
  if (!heat.place.empty() && heat.worst > certificate.energy.worst) certificate.energy = heat;
  return certificate;
}

}  // namespace corefeed::cooling
