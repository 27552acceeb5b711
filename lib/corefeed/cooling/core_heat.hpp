// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/cooling/fins.hpp"
#include "corefeed/cooling/passes.hpp"
#include "corefeed/losses/core.hpp"

/// Heat of one core by effectiveness and NTU. Private to the library's sources.
namespace corefeed::cooling {

template <class S>
struct CoreHeat {
  S heat;  ///< W into the air
  S effectiveness;
  S ntu;
  S conductance;  ///< UA, W/K
  S capacity_ratio;
  S temperature_out;  ///< air, K
  S liquid_capacity;  ///< W/K
};

/// Flow of a core's air without its sign, never quite zero, kg/s.
template <class S>
S moving_flow(const losses::Input<S>& in) {
  constexpr double still_flow = 1e-14;
  return rounded_magnitude<S>(in.mass_flow, still_flow);
}

/// What the liquid's own element says of its way through the core. Without one: a single pass, and the
/// conductance that the air side holds.
template <class S>
struct LiquidSide {
  int passes = 1;
  PassLayout place = PassLayout::face;
  bool computed = false;  ///< whether `conductance` holds
  S conductance{0};       ///< W/K, from the tubes
};

/// 1/hA of the liquid side, K/W.
template <class S>
S liquid_resistance(const losses::Input<S>& in, const Same<S>& liquid_flow, const LiquidSide<S>& side) {
  using namespace losses::core;
  if (side.computed) return 1.0 / side.conductance;
  const S zone = part<S>(in);
  const S ratio = in[losses::core::liquid_flow] * zone / liquid_flow;
  const S resistance = power<S>(ratio, in[liquid_exponent]) / (in[liquid_value] * zone);
  return resistance;
}

/// 1/hA of the air side, K/W, of the zone that this core is: tested, or of its fins. `flow` is positive.
template <class S>
S air_resistance(const losses::Input<S>& in, const Same<S>& flow) {
  using namespace losses::core;
  using std::sqrt;
  if (in.has(air_value)) {
    const S zone = part<S>(in);
    // At the exponent 1 the conductance would vanish as fast as the flow; some is left in air that crawls, or
    // what leaves would jump from one side's temperature towards the other's where the flow turns round.
    constexpr double crawling = 1e-5;  // m/s: 1e-12 of the conductance at 7 m/s
    const S least = crawling * in.outside->density * area_of<S>(in);
    const S square = flow * flow + least * least;
    const S ratio = in[air_flow] * zone / sqrt(square);
    const S tested = power<S>(ratio, in[air_exponent]) / (in[air_value] * zone);
    return tested;
  }
  const S area = area_of<S>(in);
  const S cold = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S mean = 0.5 * (cold + larger<S>(in.temperature_out, S(100.0)));
  const fluids::Air& air = in.outside->air;
  const FaceFlow<S> face{S(flow / area), air.viscosity(mean), S(air.heat_capacity), air.conductivity(mean)};
  const S per_area =
      with_fin<S>(in, [&face](const auto& fin) { return finned_side<S>(fin, face).conductance; });
  const S result = 1.0 / (per_area * area);
  return result;
}

/// `in` is the core's air side, `liquid_flow` the core's own share in kg/s, `liquid_heat_capacity` in J/(kg
/// K). With air at rest the air leaves as hot as the liquid and carries no heat.
template <class S>
CoreHeat<S> core_heat(const losses::Input<S>& in, const Same<S>& hot, const Same<S>& liquid_flow,
                      const Same<S>& liquid_heat_capacity, const LiquidSide<S>& side = {}) {
  using namespace losses::core;
  const S flow = moving_flow<S>(in);
  const S air_capacity = flow * in.outside->air.heat_capacity;
  CoreHeat<S> result;
  result.liquid_capacity = liquid_flow * liquid_heat_capacity;
  const S both_resistances = air_resistance<S>(in, flow) + liquid_resistance<S>(in, liquid_flow, side);
  result.conductance = in[heat_transfer] / both_resistances;
  const Mask<S> air_is_smallest = at_least<S>(result.liquid_capacity, air_capacity);
  const S smallest = select<S>(air_is_smallest, air_capacity, result.liquid_capacity);
  const S largest = select<S>(air_is_smallest, result.liquid_capacity, air_capacity);
  result.capacity_ratio = smallest / largest;
  result.ntu = result.conductance / smallest;
  const Layout layout{static_cast<Arrangement>(in.choice(arrangement)), side.passes, PassOrder::counter,
                      side.place};
  const S even =
      side.passes == 1
          ? effectiveness<S>(layout.arrangement, result.ntu, result.capacity_ratio, air_is_smallest)
          : layout_effectiveness<S>(layout, result.ntu, result.capacity_ratio, air_is_smallest);
  // An uneven face cools less: 1 - c g_c^2 with c = 0.5 (1 - eps) + 0.1 (closure of ours).
  const S core_loss = face_loss<S>(in);
  const S uneven = charged_unevenness<S>(in, unevenness<S>(in, core_loss));
  // Air that hardly moves leaves as hot as the liquid, wherever it came from: below a tenth of a metre per
  // second the penalty fades, or the leaving temperature would jump where the flow turns round.
  const S slow = in.mass_flow / (0.1 * in.outside->density * area_of<S>(in));
  const S moving = 1.0 - exp(S(-slow * slow));
  const S penalty = moving * (0.5 * (1.0 - even) + 0.1) * uneven * uneven;
  const S kept = larger<S>(S(1.0 - penalty), S(0.1));
  result.effectiveness = even * kept;
  const S cold = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S difference = hot - cold;
  const S rise = result.effectiveness * smallest / air_capacity * difference;
  result.temperature_out = cold + rise;
  result.heat = result.effectiveness * smallest * difference;
  return result;
}

}  // namespace corefeed::cooling
