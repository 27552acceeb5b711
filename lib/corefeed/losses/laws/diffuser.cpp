// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/diffuser.hpp"

#include "corefeed/losses/core.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"

namespace corefeed::losses {
namespace {

using namespace diffuser;

/// phi of the attached flow on half the angle: 3.2 tan^1.25 for cones and planar walls, 4.0 for pyramids; at
/// most 1.1, a jet and the stalled wall.
template <class S>
S attached_loss(const Input<S>& in, const Same<S>& half_angle) {
  using std::tan;
  const S slope = tan(half_angle);
  const double factor = in.choice(shape) == pyramidal ? 4.0 : 3.2;
  const S loss = factor * power<S>(slope, S(1.25));
  return smaller<S>(loss, S(1.1));
}

/// A diffuser close behind a bend loses half as much again.
template <class S>
S behind_a_bend(const Input<S>& in) {
  return upstream_factor<S, 1>(in, upstream_fitting, upstream_distance,
                               equivalent_diameter<S>(in[inlet_area]), {1.5});
}

/// phi_0: share of the Borda-Carnot loss that a free diffuser loses.
template <class S>
S free_expansion(const Input<S>& in, const Same<S>& both_walls) {
  if (in.has(expansion_loss)) return in[expansion_loss];
  const S passages = in[vanes] + 1.0;
  const S own_angle = both_walls / passages;
  S attached = attached_loss<S>(in, S(0.5 * own_angle)) + 0.03 * in[vanes];
  if (in.has(second_angle)) {
    // Two pairs of walls at angles of their own: the worse pair, and a quarter of the other (closure of
    // ours).
    const S other = attached_loss<S>(in, S(0.5 * in[second_angle]));
    attached = larger<S>(attached, other) + 0.25 * smaller<S>(attached, other);
  }
  if (in.choice(shape) == planar) {
    const S stalled = stalled_share<S>(in, own_angle);
    attached = attached + (in[stalled_loss] - attached) * stalled;
  }
  // A thick layer on the walls at the throat: 1 + 8 B with B = 2 delta*/W1 (closure of ours, within 40 %).
  return attached * (1.0 + 8.0 * in[blockage]) * behind_a_bend<S>(in);
}

/// Friction of the walls on the throat's head: f L/D1 times the mean of (D1/D)^5 along a cone. Each splitter
/// vane adds two faces to the four of a duct.
template <class S>
S wall_friction(const Input<S>& in, const Local<S>& throat) {
  using std::sqrt;
  const S diameter = equivalent_diameter<S>(in[inlet_area]);
  const S reynolds = reynolds_of<S>(in, throat, diameter);
  const S factor = darcy_friction<S>(reynolds, relative_roughness<S>(in, roughness, wall, diameter));
  const S ratio = in[outlet_area] / in[inlet_area];
  const S root = sqrt(ratio);
  const S taper = (root + 1.0) * (ratio + 1.0) / (4.0 * ratio * ratio);
  const S loss = factor * in[length] / diameter * taper * (1.0 + 0.5 * in[vanes]);
  return loss;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> throat = upwind<S>(in, in[inlet_area]);
    const bool walls = has_walls(in);
    const S both_walls = walls ? total_angle<S>(in) : S(0.0);
    const S free = in[loss_factor] * free_expansion<S>(in, both_walls);
    const S phi = shared_with_core(in, free);
    const S blocked = 1.0 - in[inlet_area] / in[outlet_area];
    const S expansion = phi * blocked * blocked;
    // Reversed the walls make a nozzle; a wide one lets the flow separate at the throat's edge.
    const S nozzle = select<S>(above<S>(both_walls, S(pi / 3.0)), S(2.2), S(0.1));
    const S coefficient = either_way<S>(throat, expansion, nozzle);
    out.item[0] = coefficient * throat.head;
    out.item[1] = in.has(length) ? S(wall_friction<S>(in, throat) * throat.head) : S(0.0);
    const S share = in[inlet_area] / in[outlet_area];
    const S outlet_head = share * share * throat.head;
    out.item[2] = end_losses<S>(in, throat.head, outlet_head, in[entrance_loss],
                                jet_lost<S>(in, opposite_mouth, in[outlet_area]));
    if (out.loss_alone) return;
    out.reported[0] = throat.velocity;
    out.reported[1] = phi;
    out.reported[2] = both_walls;
  }

  /// A core close behind spreads the flow: phi falls from phi_0 towards phi_min as K_c grows.
  template <class S>
  static S shared_with_core(const Input<S>& in, const Same<S>& free) {
    if (in.feeds == nullptr) return free;
    const S core_loss = core::spreading_loss<S>(core::face_loss<S>(*in.feeds));
    const S lowest = smaller<S>(in[spread_loss], free);
    const S phi = lowest + (free - lowest) / (1.0 + core_loss / in[spreading_resistance]);
    return phi;
  }
};

std::string contradiction(const Values& values) {
  if (values.number[outlet_area] < values.number[inlet_area]) {
    return "outlet_area is smaller than inlet_area; a diffuser widens: use a contraction or a step";
  }
  return "";
}

/// The law's band: 20 % attached, 40 % where attached and stalled flow take turns; none where the share is
/// given.
Spread law_spread(const Values& values) {
  if (values.has(expansion_loss)) return {};
  Input<double> in;
  in.value = values.number.data();
  in.given = values.given;
  const double stalled = stalled_share<double>(in, total_angle<double>(in));
  return {.relative = stalled > 0.1 && stalled < 0.9 ? 0.40 : 0.20};
}

Key spread_factor_key() {
  Key key = loss_factor_key(0.20);
  key.spread_of = &law_spread;
  return key;
}

std::vector<Rule> rules() {
  std::vector<Rule> list = upstream_rules();
  list.push_back({Rule::Kind::any_of, {"expansion_loss", "length", "angle"}});
  list.push_back(one_roughness());
  return list;
}

Key feeds_key() {
  return {.name = "feeds",
          .meaning =
              "the core at the diffuser's end; the only core that leaves its `to` node if absent; of "
              "several diffusers before one core, the one with the largest outlet makes its "
              "unevenness",
          .need = Need::optional,
          .refers = Refers::core};
}

std::vector<Key> keys() {
  std::vector<Key> list{
      area_key("inlet_area", "A1", "area of the throat"),
      area_key("outlet_area", "A2", "area of the end"),
      {.name = "length",
       .symbol = "N",
       .quantity = units::Quantity::length,
       .meaning = "length along the axis",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "angle",
       .symbol = "2 theta",
       .quantity = units::Quantity::angle,
       .meaning = "total angle between opposite walls",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 3.0,
       .above_lowest = true},
      {.name = "second_angle",
       .symbol = "2 theta_2",
       .quantity = units::Quantity::angle,
       .meaning = "total angle between the other two walls where it differs",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 3.0,
       .above_lowest = true},
      {.name = "shape",
       .meaning = "conical, planar (two walls diverge) or pyramidal (four walls diverge)",
       .need = Need::standard,
       .standard = 0,
       .choices = {"conical", "planar", "pyramidal"}},
      {.name = "vanes",
       .symbol = "n",
       .meaning = "number of splitter vanes",
       .need = Need::standard,
       .standard = 0,
       .lowest = 0,
       .highest = 12},
      {.name = "blockage",
       .symbol = "B",
       .meaning = "displacement thickness of both walls over the throat's width: 0 behind a lip, 0.03 behind "
                  "ten widths of duct",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0,
       .highest = 0.1},
      {.name = "expansion_loss",
       .symbol = "phi_0",
       .meaning = "share of the sudden-expansion loss that the diffuser loses without a core behind it",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 1.5,
       .spread = {.relative = 0.20},
       .source = "band of the attached diffuser law"},
      roughness_key(),
      wall_key(),
      {.name = "stalled_loss",
       .symbol = "phi_st",
       .meaning = "share lost when the flow is stalled",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 1.5,
       .spread = {.relative = 0.15},
       .source = "Reneau, Johnston & Kline 1967, J. Basic Eng. 89",
       .tag = Tag::from_memory,
       .coefficient = true},
      {.name = "spread_loss",
       .symbol = "phi_min",
       .meaning = "share lost when a core of high resistance spreads the flow",
       .need = Need::standard,
       .standard = 0.15,
       .lowest = 0.0,
       .highest = 1.0,
       .spread = {.relative = 0.40},
       .source = "closure after Schubauer & Spangenberg 1949, NACA TN 1610",
       .tag = Tag::closure,
       .coefficient = true},
      {.name = "spreading_resistance",
       .symbol = "K_h",
       .meaning = "core loss coefficient at which half of the effect is reached",
       .need = Need::standard,
       .standard = 2.0,
       .lowest = 0.0,
       .above_lowest = true,
       .spread = {.relative = 0.50},
       .source = "closure after Schubauer & Spangenberg 1949, NACA TN 1610",
       .tag = Tag::closure,
       .coefficient = true},
      entrance_loss_key(),
      opposite_mouth_key()};
  add_upstream_keys(list, {"bend"});
  list.push_back(spread_factor_key());
  list.push_back(feeds_key());
  return list;
}

}  // namespace

const Kind& diffuser_kind() {
  static const Kind kind{
      .name = "diffuser",
      .title = "Diffuser",
      .meaning = "a duct that widens, often up to the face of a core",
      .keys = keys(),
      .rules = rules(),
      .formula =
          "K = phi (1 - A1/A2)^2 + friction; phi_0 = 3.2 tan(theta)^1.25 (cone, planar) or "
          "4.0 tan(theta)^1.25 (pyramid), at most 1.1, towards phi_st beyond the planar stall line "
          "2 theta = 28 deg (N/W1)^-0.45; times 1 + 8 B for a thick inlet layer; n vanes: each passage its "
          "share "
          "of the angle, + 0.03 n; close behind a bend up to 1.5 times, stall line 30 % lower; before a core "
          "phi = phi_min + (phi_0 - phi_min)/(1 + K_c/K_h)",
      .reference = "throat, upwind density",
      .reversed = "nozzle: K = 0.1, 2.2 beyond a total angle of 60 degrees",
      .range =
          "total angle up to 60 degrees; bands 20 % attached (a cone behind a thin inlet layer may lose "
          "half), 40 % near the stall line, 15 % stalled",
      .ranges = {{"total_angle", 0.0, 1.0472, "is a wide-angle diffuser beyond the law's range"}},
      .band = 0.20,
      .source =
          "Idelchik, Handbook of Hydraulic Resistance, ch. 5; Reneau, Johnston & Kline 1967, J. Basic "
          "Eng. 89; closure before a core after Schubauer & Spangenberg 1949, NACA TN 1610",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity in the throat"},
                   {"expansion_share", units::Quantity::number, "phi, share of the sudden-expansion loss"},
                   {"total_angle", units::Quantity::angle, "total angle of the walls; 0 where not known"}},
      .items = {"diffuser", "friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"inlet_area", 0.02}, {"outlet_area", 0.04}, {"length", 0.4}},
                  .velocity = 15.0,
                  .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
