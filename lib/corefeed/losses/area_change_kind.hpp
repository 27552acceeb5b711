// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

/// What `contraction` and `step` share: keys, results and the ends.
namespace corefeed::losses::area_change {

enum : std::size_t {
  inlet_area,
  outlet_area,
  angle,
  edge_radius,
  entrance_loss,
  opposite_mouth,
  loss_factor
};

inline std::vector<Key> keys(double band) {
  return {area_key("inlet_area", "A1", "area before the change", 0.01),
          area_key("outlet_area", "A2", "area behind the change", 0.01),
          {.name = "angle",
           .symbol = "al",
           .quantity = units::Quantity::angle,
           .meaning = "total angle between opposite walls of a conical change; absent: sudden",
           .need = Need::optional,
           .lowest = 0.0,
           .highest = 3.14159265358979323846,
           .above_lowest = true},
          {.name = "edge_radius",
           .symbol = "r",
           .quantity = units::Quantity::length,
           .meaning = "radius of the edge at which the flow enters the smaller section",
           .need = Need::standard,
           .standard = 0.0,
           .lowest = 0.0},
          entrance_loss_key(),
          opposite_mouth_key(),
          loss_factor_key(band)};
}

inline std::vector<Reported> reported() {
  return {{"velocity", units::Quantity::velocity, "mean velocity in the smaller section"},
          {"reynolds", units::Quantity::number, "Reynolds number of the smaller section"}};
}

template <class S>
S edge_ratio(const Input<S>& in, const Same<S>& small_area) {
  const S diameter = equivalent_diameter<S>(small_area);
  const S ratio = in[edge_radius] / diameter;
  return ratio;
}

/// One direction through the smaller section: coefficient for fast flow and its addition slow / Re
/// (160 where it narrows, 30 where it widens; Hooper's form, from memory).
template <class S>
struct Direction {
  S coefficient;
  S slow;
};

template <class S>
Direction<S> chosen(const Mask<S>& mask, const Direction<S>& a, const Direction<S>& b) {
  return {select<S>(mask, a.coefficient, b.coefficient), select<S>(mask, a.slow, b.slow)};
}

inline constexpr double slow_narrowing = 160.0;
inline constexpr double slow_widening = 30.0;

/// Writes loss, ends and results from both directions; `small` is the state of the smaller section.
template <class S>
void finish(const Input<S>& in, const Local<S>& small, const Direction<S>& forward,
            const Direction<S>& reversed, Terms<S>& out) {
  const S small_area = smaller<S>(in[inlet_area], in[outlet_area]);
  const S reynolds = reynolds_of<S>(in, small, equivalent_diameter<S>(small_area));
  const S ahead = forward.coefficient + forward.slow / reynolds;
  const S back = reversed.coefficient + reversed.slow / reynolds;
  const S coefficient = either_way<S>(small, ahead, back);
  out.item[0] = in[loss_factor] * coefficient * small.head;
  const S inlet_share = small_area / in[inlet_area];
  const S outlet_share = small_area / in[outlet_area];
  const S inlet_head = inlet_share * inlet_share * small.head;
  const S outlet_head = outlet_share * outlet_share * small.head;
  out.item[1] = end_losses<S>(in, inlet_head, outlet_head, in[entrance_loss],
                              jet_lost<S>(in, opposite_mouth, in[outlet_area]));
  if (out.loss_alone) return;
  out.reported[0] = small.velocity;
  out.reported[1] = reynolds;
}

}  // namespace corefeed::losses::area_change
