// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/close_coupled.hpp"
#include "corefeed/losses/law.hpp"

/// The parts of the diffuser law that the core behind it reads as well.
namespace corefeed::losses::diffuser {

enum : std::size_t {
  inlet_area,
  outlet_area,
  length,
  angle,
  second_angle,
  shape,
  vanes,
  blockage,
  expansion_loss,
  roughness,
  wall,
  stalled_loss,
  spread_loss,
  spreading_resistance,
  entrance_loss,
  opposite_mouth,
  upstream_fitting,
  upstream_distance,
  loss_factor,
  feeds
};
enum Shape { conical, planar, pyramidal };

inline constexpr double pi = 3.14159265358979323846;

/// Whether the walls are known, so that attached and stalled flow can be told apart.
template <class S>
bool has_walls(const Input<S>& in) {
  return in.has(length) || in.has(angle);
}

/// Total angle between opposite walls, rad; from the length by the equivalent cone (or the square section's
/// planar or pyramidal walls) where it is not given.
template <class S>
S total_angle(const Input<S>& in) {
  using std::atan2;
  using std::sqrt;
  if (in.has(angle)) return in[angle];
  const S first = sqrt(in[inlet_area]);
  const S last = sqrt(in[outlet_area]);
  S rise = last - first;
  const int form = in.choice(shape);
  if (form == conical) rise = rise * (1.0 / std::sqrt(pi));
  if (form == pyramidal) rise = rise * 0.5;
  if (form == planar) rise = 0.5 * (in[outlet_area] - in[inlet_area]) / first;
  const S half = atan2(rise, in[length]);
  const S both = 2.0 * half;
  return both;
}

/// Share of stalled flow, 0 attached to 1 stalled: a logistic of width 2 degrees at the line of appreciable
/// stall, 2 theta = 28 deg (N/W1)^-0.45 (Reneau, Johnston & Kline 1967; fit from memory, within 2 degrees),
/// N/W1 of a square inlet; 10 degrees for cones and pyramids (Schubauer & Spangenberg 1949: wide-angle begins
/// at 8 degrees).
template <class S>
S stalled_share(const Input<S>& in, const Same<S>& both_walls) {
  using std::exp;
  using std::sqrt;
  const double degree = pi / 180.0;
  S line(10.0 * degree);
  if (in.choice(shape) == planar) {
    // Divergence makes wall length over inlet width from area ratio and angle alone.
    const S half = 0.5 * both_walls;
    const S wall_length = 0.5 * (in[outlet_area] / in[inlet_area] - 1.0) / half;
    line = 28.0 * degree * power<S>(wall_length, S(-0.45));
  }
  // Behind a bend the uneven stream lets go of a wall 30 % earlier (closure of ours).
  const S bent =
      upstream_share<S>(in, upstream_fitting, upstream_distance, equivalent_diameter<S>(in[inlet_area]));
  line = line * (1.0 - 0.3 * bent);
  const S distance = (line - both_walls) / (2.0 * degree);
  const S decay = exp(distance);
  const S share = 1.0 / (1.0 + decay);
  return share;
}

/// Unevenness of the jet that reaches the core (rms / mean before the core spreads it): from the area ratio
/// for a jet, 0.15 when the flow is attached. Closure of ours. `core_loss` is K_c on the face's dynamic head.
template <class S>
S jet_unevenness(const Input<S>& in, const Same<S>& core_loss) {
  using std::sqrt;
  const S ratio = in[inlet_area] / in[outlet_area];
  const S spread = core_loss / (core_loss + 4.0);
  const S even = ratio + (1.0 - ratio) * spread;
  const S excess = 1.0 / even - 1.0;
  const S held = larger<S>(excess, S(1e-12));
  const S jet = sqrt(held);
  if (!has_walls(in)) return jet;
  const S stalled = stalled_share<S>(in, total_angle<S>(in));
  const S result = stalled * jet + (1.0 - stalled) * 0.15;
  return result;
}

}  // namespace corefeed::losses::diffuser
