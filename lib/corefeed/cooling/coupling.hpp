// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/core_heat.hpp"
#include "corefeed/cooling/liquid_side.hpp"
#include "corefeed/cooling/solution.hpp"
#include "corefeed/network/assembly.hpp"

/// Adds loops to a network's equations. Private to the library's sources.
namespace corefeed::cooling {

/// Where loops stand in the system. Of a loop's temperature and heat one is given and the other found.
struct LoopPlaces {
  std::vector<int> temperature;  ///< by loop: hottest liquid, unknown, or parameter of a loop whose
                                 ///< temperature is held; none for a network
  std::vector<int> flow;         ///< by loop: parameter; none for a network
  std::vector<int> heat_load;    ///< by loop: parameter, or unknown of a loop whose temperature is held; none
                                 ///< for a network without heat load
  std::vector<bool> held;        ///< by loop: whether the temperature is held
  std::vector<int> wall;         ///< by element: unknown, temperature of the tubes' wall; none without tubes

  /// The parameter that is given: heat load or held temperature.
  int given(std::size_t loop) const { return held[loop] ? temperature[loop] : heat_load[loop]; }
};

/// Reads one liquid element that gives off heat from an equation's local numbers.
class PassageStates {
 public:
  PassageStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops, int element,
                std::vector<int>& unknowns, std::vector<int>& parameters);

  template <class S>
  losses::Input<S> input(const S* x, const S* p) const {
    return states_.own_input<S>(x, p);
  }
  const std::optional<TubeSide>& tubes() const { return tubes_; }
  template <class S>
  S wall(const S* x) const {
    return x[wall_];
  }
  template <class S>
  LiquidSide<S> side(const S* x, const losses::Input<S>& in) const;

 private:
  network::ElementStates states_;
  std::optional<TubeSide> tubes_;
  int passes_ = 1;
  PassLayout place_ = PassLayout::face;
  int wall_ = network::none;
};

/// Reads the heat of one coupled core from an equation's local numbers.
class CoreStates {
 public:
  CoreStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops, int element,
             std::vector<int>& unknowns, std::vector<int>& parameters);

  /// Whether the core's loop is a network.
  bool cools_network() const { return passage_.has_value(); }
  template <class S>
  CoreHeat<S> heat(const S* x, const S* p) const;
  /// Leaving temperature as the unknown has it, K.
  template <class S>
  S leaving(const S* x, const S* p) const;
  /// Heat that the air with this leaving temperature carries away, W.
  template <class S>
  S carried(const S* x, const S* p) const;

 private:
  template <class S>
  CoreHeat<S> heat_of_network(const losses::Input<S>& air, const S* x, const S* p) const;

  network::ElementStates air_;
  fluids::Liquid fluid_;
  std::optional<PassageStates> passage_;  ///< where the loop is a network
  double equal_share_ = 1.0;
  bool held_ = false;
  int hot_ = 0;
  int flow_ = 0;
  int load_ = 0;
};

/// Heat from the first to the second side of a cooler between two liquids.
class PairStates {
 public:
  PairStates(const Case& problem, const network::Assembly& assembly, const LoopPlaces& loops,
             const LiquidPair& pair, std::vector<int>& unknowns, std::vector<int>& parameters);

  template <class S>
  S heat(const S* x, const S* p) const;

 private:
  PassageStates first_;
  PassageStates second_;
};

/// Marks the elements whose leaving temperatures the loops give, and fills what a case without networks of
/// liquid leaves out; before the network is assembled.
void mark_coupled(Case& problem);

/// Adds one hot temperature a loop of fixed flow, the heat balance of each such loop, the leaving temperature
/// of each core and of each liquid side, and wall temperature and loss of tubes.
LoopPlaces add_loops(const Case& problem, network::Assembly& assembly);

template <class S>
LiquidSide<S> PassageStates::side(const S* x, const losses::Input<S>& in) const {
  LiquidSide<S> side;
  side.passes = passes_;
  side.place = place_;
  side.computed = tubes_.has_value();
  if (tubes_) side.conductance = tube_conductance<S>(*tubes_, in, x[wall_]);
  return side;
}

template <class S>
CoreHeat<S> CoreStates::heat_of_network(const losses::Input<S>& air, const S* x, const S* p) const {
  const losses::Input<S> liquid = passage_->input<S>(x, p);
  const Stream<S> stream = stream_of<S>(liquid);
  const S capacity = fluid_.heat_capacity(losses::held_temperature<S>(stream.mean()));
  return core_heat<S>(air, stream.in, stream.flow, capacity, passage_->side<S>(x, liquid));
}

template <class S>
CoreHeat<S> CoreStates::heat(const S* x, const S* p) const {
  std::optional<losses::Input<S>> neighbor;
  const losses::Input<S> in = air_.input<S>(x, p, neighbor);
  // Tubes of a network are not evaluated for several points at once; see `cools_network`.
  if constexpr (!is_packed<S>) {
    if (passage_) return heat_of_network<S>(in, x, p);
  }
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
  std::optional<losses::Input<S>> neighbor;
  return air_.input<S>(x, p, neighbor).temperature_out;
}

template <class S>
S CoreStates::carried(const S* x, const S* p) const {
  std::optional<losses::Input<S>> neighbor;
  const losses::Input<S> in = air_.input<S>(x, p, neighbor);
  const S arriving = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S heat = moving_flow<S>(in) * in.outside->air.heat_capacity * (in.temperature_out - arriving);
  return heat;
}

/// Conductance of one side of a cooler between two liquids, W/K.
template <class S>
S side_conductance(const losses::Input<S>& in, const Same<S>& flow) {
  using namespace losses::liquid_cooler;
  const S ratio = flow / in[reference_flow];
  const S grown = power<S>(ratio, in[exponent]);
  const S result = in[heat_transfer] * in[conductance] * grown;
  return result;
}

template <class S>
S PairStates::heat(const S* x, const S* p) const {
  constexpr Arrangement ways[] = {Arrangement::counterflow, Arrangement::parallel_flow,
                                  Arrangement::crossflow_both_unmixed};
  const losses::Input<S> one = first_.input<S>(x, p);
  const losses::Input<S> other = second_.input<S>(x, p);
  const Stream<S> hot = stream_of<S>(one);
  const Stream<S> cold = stream_of<S>(other);
  const S hot_rate = hot.flow * one.liquid->heat_capacity(losses::held_temperature<S>(hot.mean()));
  const S cold_rate = cold.flow * other.liquid->heat_capacity(losses::held_temperature<S>(cold.mean()));
  const Mask<S> hot_is_smallest = at_least<S>(cold_rate, hot_rate);
  const S smallest = select<S>(hot_is_smallest, hot_rate, cold_rate);
  const S largest = select<S>(hot_is_smallest, cold_rate, hot_rate);
  const S both = 1.0 / side_conductance<S>(one, hot.flow) + 1.0 / side_conductance<S>(other, cold.flow);
  const S ntu = 1.0 / (both * smallest);
  const auto way = ways[static_cast<std::size_t>(one.choice(losses::liquid_cooler::arrangement))];
  const S share = effectiveness<S>(way, ntu, S(smallest / largest), hot_is_smallest);
  const S heat = share * smallest * (hot.in - cold.in);
  return heat;
}

}  // namespace corefeed::cooling
