// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/core_heat.hpp"
#include "corefeed/network/assembly.hpp"

/// Adds loops to a network's equations. Private to the library's sources.
namespace corefeed::cooling {

/// A loop that would have to be hotter than this to give off its heat has no steady temperature, K. Far above
/// what any liquid bears, so that a core short of air still shows how short.
inline constexpr double hottest_loop = 2000.0;

/// Where loops stand in the system. Of a loop's temperature and heat one is given and the other found.
struct LoopPlaces {
  std::vector<int>
      temperature;             ///< hottest liquid: unknown, or parameter of a loop whose temperature is held
  std::vector<int> flow;       ///< parameter
  std::vector<int> heat_load;  ///< parameter, or unknown of a loop whose temperature is held
  std::vector<bool> held;      ///< whether the temperature is held

  /// The parameter that is given: heat load or held temperature.
  int given(std::size_t loop) const { return held[loop] ? temperature[loop] : heat_load[loop]; }
};

/// Reads the heat of one coupled core from an equation's local numbers.
class CoreStates {
 public:
  CoreStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops, int element,
             std::vector<int>& unknowns, std::vector<int>& parameters);

  template <class S>
  CoreHeat<S> heat(const S* x, const S* p) const;
  /// Leaving temperature as the unknown has it, K.
  template <class S>
  S leaving(const S* x, const S* p) const;
  /// Heat that the air with this leaving temperature carries away, W.
  template <class S>
  S carried(const S* x, const S* p) const;

 private:
  network::ElementStates air_;
  fluids::Liquid fluid_;
  double equal_share_ = 1.0;
  bool held_ = false;
  int hot_ = 0;
  int flow_ = 0;
  int load_ = 0;
};

/// Adds one hot temperature a loop, the heat balance of each loop and the leaving temperature of each core.
LoopPlaces add_loops(const Case& problem, network::Assembly& assembly);

template <class S>
CoreHeat<S> CoreStates::heat(const S* x, const S* p) const {
  losses::Input<S> neighbor;
  const losses::Input<S> in = air_.input<S>(x, p, neighbor);
  const S share = in.has(losses::core::liquid_share) ? in[losses::core::liquid_share] : S(equal_share_);
  const S flow = share * losses::core::part<S>(in) * p[flow_];
  const S hot = held_ ? p[hot_] : x[hot_];
  const S load = held_ ? x[load_] : p[load_];
  // Properties at the mean of the loop's hot and cold end.
  const S rough_capacity = fluid_.heat_capacity(hot);
  const S mean = hot - 0.5 * load / (p[flow_] * rough_capacity);
  const S capacity = fluid_.heat_capacity(mean);
  return core_heat<S>(in, hot, flow, capacity);
}

template <class S>
S CoreStates::leaving(const S* x, const S* p) const {
  losses::Input<S> neighbor;
  return air_.input<S>(x, p, neighbor).temperature_out;
}

template <class S>
S CoreStates::carried(const S* x, const S* p) const {
  losses::Input<S> neighbor;
  const losses::Input<S> in = air_.input<S>(x, p, neighbor);
  const S arriving = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S heat = moving_flow<S>(in) * in.outside->air.heat_capacity * (in.temperature_out - arriving);
  return heat;
}

}  // namespace corefeed::cooling
