// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "corefeed/cooling/fins.hpp"
#include "corefeed/cooling/header.hpp"
#include "corefeed/cooling/passes.hpp"
#include "corefeed/losses/liquid_core.hpp"

/// The liquid side of a core that stands in a loop: passes, and tubes where the model tells them. Private to
/// the library's sources.
namespace corefeed::cooling {

/// Tubes of one pass, plain or with turbulators, and what connects the passes.
struct TubeSide {
  TubeBank plain;
  std::optional<TurbulatedBank> turbulated;
  Passages passages;
  int passes = 1;
};

/// From a passage's numbers; nothing where it tells no tubes.
std::optional<TubeSide> tube_side_of(const losses::Values& values);

/// What one pass carries and loses.
struct PassFlow {
  double flow = 0;  ///< kg/s, positive
  double loss = 0;  ///< Pa, in the tubes
  double density = 0;
  double viscosity = 0;
  double reynolds = 0;  ///< in the tubes
};

/// How the headers share the liquid among the tubes of a pass; nothing where the model tells no headers.
std::optional<TubeShares> header_shares(const losses::Values& values, const TubeSide& side,
                                        const PassFlow& pass);

/// Temperatures of the liquid on its way through an element.
template <class S>
struct Stream {
  S in;    ///< K
  S out;   ///< K
  S flow;  ///< kg/s, positive
  S mean() const {
    const S middle = 0.5 * (in + out);
    return middle;
  }
};

/// Below this flow a stream is taken to creep on: keeps heat over flow finite, kg/s.
inline constexpr double creeping_flow = 1e-7;

template <class S>
Stream<S> stream_of(const losses::Input<S>& in) {
  return {select<S>(in.forward(), in.temperature_from, in.temperature_to), in.temperature_out,
          rounded_magnitude<S>(in.mass_flow, creeping_flow)};
}

/// Properties at the mean temperature and at the wall.
template <class S>
LiquidState<S> liquid_state(const losses::Input<S>& in, const Same<S>& mean, const Same<S>& wall) {
  const S held = losses::held_temperature<S>(mean);
  return {in.liquid->density(held), losses::viscosity_at<S>(in, mean), losses::viscosity_at<S>(in, wall),
          in.liquid->heat_capacity(held), in.liquid->conductivity(held)};
}

/// One pass at this state of the passage.
template <class S>
TubePass<S> tube_pass(const TubeSide& side, const losses::Input<S>& in, const Same<S>& wall) {
  const Stream<S> stream = stream_of<S>(in);
  const LiquidState<S> liquid = liquid_state<S>(in, stream.mean(), wall);
  return side.turbulated ? turbulated_pass<S>(*side.turbulated, stream.flow, liquid)
                         : plain_pass<S>(side.plain, stream.flow, liquid);
}

/// Heat conductance of the whole liquid side, W/K.
template <class S>
S tube_conductance(const TubeSide& side, const losses::Input<S>& in, const Same<S>& wall) {
  const TubePass<S> pass = tube_pass<S>(side, in, wall);
  const S whole = in[losses::passage::heat_factor] * static_cast<double>(side.passes) * pass.conductance;
  return whole;
}

/// Loss of tubes, ports and return tanks, Pa, with the sign of the flow.
template <class S>
S tube_loss(const TubeSide& side, const losses::Input<S>& in, const Same<S>& wall) {
  const Stream<S> stream = stream_of<S>(in);
  const TubePass<S> pass = tube_pass<S>(side, in, wall);
  const S density = in.liquid->density(losses::held_temperature<S>(stream.mean()));
  const S rubbed = in[losses::passage::friction_factor] * static_cast<double>(side.passes) * pass.loss;
  const S loss = rubbed + passages_loss<S>(side.passages, side.passes, stream.flow, density);
  return select<S>(in.forward(), loss, S(-loss));
}

/// Heat that the liquid has given off on its way, W.
template <class S>
S heat_given(const losses::Input<S>& in) {
  const Stream<S> stream = stream_of<S>(in);
  const S fall =
      losses::liquid_enthalpy<S>(*in.liquid, stream.in) - losses::liquid_enthalpy<S>(*in.liquid, stream.out);
  return stream.flow * fall;
}

}  // namespace corefeed::cooling
