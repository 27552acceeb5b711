// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/core_heat.hpp"
#include "corefeed/cooling/solution.hpp"
#include "corefeed/network/assembly.hpp"

/// Adds loops to a network's equations. Private to the library's sources.
namespace corefeed::cooling {

/// Where loops stand in the system.
struct LoopPlaces {
  std::vector<int> temperature;  ///< unknown: hottest liquid
  std::vector<int> flow;         ///< parameter
  std::vector<int> heat_load;    ///< parameter
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
  const S flow = share * p[flow_];
  // Properties at the mean of the loop's hot and cold end.
  const S rough_capacity = fluid_.heat_capacity(x[hot_]);
  const S mean = x[hot_] - 0.5 * p[load_] / (p[flow_] * rough_capacity);
  const S capacity = fluid_.heat_capacity(mean);
  return core_heat<S>(in, x[hot_], flow, capacity);
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
