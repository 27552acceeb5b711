// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/area_change.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/entrance.hpp"
#include "corefeed/losses/law.hpp"
#include "corefeed/losses/plate.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t {
  area,
  cp,
  recovery,
  lip_loss,
  lip_radius,
  lip_style,
  lip_thickness,
  lip_projection,
  lip_length,
  lip_angle,
  internal_loss,
  layer_thickness,
  capture_width,
  facing,
  open_fraction,
  spill_loss
};

enum LipStyle { flush, protruding };

/// Ram recovery from a 1/7-power boundary layer: mean dynamic head of the captured stream over that outside
/// the layer. Closed form of the profile's integral; the captured height y follows the flow, which is 7/8
/// (y/delta)^(8/7) of that of a layer's thickness outside, beyond the layer y/delta - 1/8.
template <class S>
S layer_recovery(const Input<S>& in, const Same<S>& skin_velocity) {
  using std::pow;
  const double density = in.outside->density;
  const S swept = density * skin_velocity * in[capture_width] * in[layer_thickness];
  const S flow = in.mass_flow / swept;
  // Held at a quarter of the layer so that the law stays monotone near zero flow.
  const S slow = larger<S>(flow, S(0.1));
  const S within = pow(S(slow * (8.0 / 7.0)), 0.875);
  const S captured = select<S>(above<S>(flow, S(0.875)), S(flow + 0.125), within);
  const S height = larger<S>(captured, S(0.25));
  const S inside = 0.8 * pow(height, 2.0 / 7.0);
  const S outside = (height - 0.3) / (height - 0.125);
  return select<S>(above<S>(height, S(1.0)), outside, inside);
}

template <class S>
S ram_recovery(const Input<S>& in, const Same<S>& skin_velocity) {
  using std::cos;
  const S own = in.has(layer_thickness) ? layer_recovery<S>(in, skin_velocity) : in[recovery];
  const S turned = in.outside->yaw - in[facing];
  const S cosine = larger<S>(S(cos(turned)), S(0.0));
  const S recovered = own * cosine * cosine;
  return recovered;
}

template <class S>
S lip_coefficient(const Input<S>& in) {
  const S diameter = equivalent_diameter<S>(in[area]);
  const bool free = in.choice(lip_style) == protruding;
  if (in.has(lip_radius)) {
    const S ratio = in[lip_radius] / diameter;
    return free ? free_bellmouth<S>(ratio) : rounded_entrance<S>(ratio);
  }
  if (in.has(lip_projection)) {
    const S thickness = in[lip_thickness] / diameter;
    return projecting_end<S>(thickness, S(in[lip_projection] / diameter));
  }
  if (in.has(lip_length)) {
    const S ratio = in[lip_length] / diameter;
    return free ? free_cone<S>(ratio, in[lip_angle]) : flush_cone<S>(ratio, in[lip_angle]);
  }
  return in[lip_loss];
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    using std::sqrt;
    const OutsideOf<S>& air = *in.outside;
    const S speed(air.speed);
    const S skin = in[cp] * S(air.dynamic_head);
    const S total(air.total_pressure);
    const S available = total - skin;
    const S held = larger<S>(available, S(0.0));
    // The root has no finite slope at rest; a thousandth of a pascal stands for still air.
    const S rooted = 2.0 / air.density * held + 1e-6;
    const S skin_velocity = sqrt(rooted);
    const S recovered = ram_recovery<S>(in, skin_velocity) * available;
    out.boundary = skin + recovered;
    const Mask<S> forward = in.forward();
    const S pressure = select<S>(forward, out.boundary, in.pressure_to);
    const S temperature = select<S>(forward, S(air.total_temperature), in.temperature_to);
    const Local<S> throat = local_state<S>(in, in[area], pressure, temperature);
    // Lip loss k_s (1 - V_0/V_i)^2 q_i, nothing below the car's speed: written without a quotient.
    const S excess = larger<S>(S(throat.velocity - speed), S(0.0));
    const S lip = lip_coefficient<S>(in) * 0.5 * throat.density * excess * excess;
    const S grille = in.has(open_fraction) ? plate_loss<S>(in[open_fraction]) : S(0.0);
    const S passage = either_way<S>(throat, S(in[internal_loss] + grille), S(in[spill_loss] + grille));
    out.item[0] = lip + passage * throat.head;
    if (out.loss_alone) return;
    out.reported[0] = throat.velocity;
    out.reported[1] = throat.velocity / (speed + 1e-9);
    out.reported[2] = total - out.boundary;
    const S ratio = out.reported[1];
    out.reported[3] = 1.0 - ratio * ratio;
  }
};

/// A recovery below 0.9 stands in a boundary layer, where nobody knows it to better than 15 %.
Spread recovery_spread(const Values& values) {
  return {.relative = values.number[recovery] < 0.9 ? 0.15 : 0.02};
}

/// A scoop that swallows more of the boundary layer recovers more ram: its inside pressure may rise with
/// flow.
bool monotone_of(const Values& values) { return !values.has(layer_thickness); }

std::vector<Key> opening_keys() {
  return {
      area_key("area", "A", "area of the throat", 0.01),
      {.name = "cp",
       .symbol = "Cp",
       .meaning = "static pressure coefficient of the sealed skin, mean over the opening; every point may "
                  "give its own",
       .lowest = -6.0,
       .highest = 1.2,
       .spread = {.absolute = 0.05},
       .source = "sealed-skin CFD near stagnation, closure of ours",
       .tag = Tag::closure,
       .by_point = true},
      {.name = "recovery",
       .symbol = "R",
       .meaning = "share of freestream total over skin pressure that the opening recovers: 0.95-1 nose hole, "
                  "0.85-0.95 side scoop, 0.6-0.8 submerged, 0-0.15 flush hole",
       .need = Need::standard,
       .standard = 0.70,
       .lowest = 0.0,
       .highest = 1.0,
       .spread_of = &recovery_spread,
       .source = "submerged inlet in a car's boundary layer: after Mossman & Randall 1948, NACA RM A7I30",
       .tag = Tag::from_memory}};
}

std::vector<Key> lip_keys() {
  return {
      {.name = "lip_loss",
       .symbol = "k_s",
       .meaning = "loss coefficient of the lip in still air: 1 thin and sharp, 0.03 well rounded",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 1.5,
       .spread = {.relative = 0.20},
       .source = "momentum balance on a sharp lip; Idelchik, Handbook of Hydraulic Resistance, ch. 3",
       .tag = Tag::computed},
      {.name = "lip_radius",
       .symbol = "r",
       .quantity = Quantity::length,
       .meaning = "radius of the lip, instead of lip_loss",
       .need = Need::optional,
       .lowest = 0.0},
      {.name = "lip_style",
       .meaning = "where a rounded or conical lip stands: flush in the skin, or protruding into the free air",
       .need = Need::standard,
       .standard = 0,
       .choices = {"flush", "protruding"}},
      {.name = "lip_thickness",
       .symbol = "t",
       .quantity = Quantity::length,
       .meaning = "wall thickness at the end of a duct that reaches out of the skin",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0},
      {.name = "lip_projection",
       .symbol = "b",
       .quantity = Quantity::length,
       .meaning = "how far a duct with a plain end reaches out of the skin, instead of lip_loss",
       .need = Need::optional,
       .lowest = 0.0},
      {.name = "lip_cone.length",
       .symbol = "l",
       .quantity = Quantity::length,
       .meaning = "length of a conical mouth, instead of lip_loss",
       .need = Need::optional,
       .lowest = 0.0},
      {.name = "lip_cone.angle",
       .symbol = "al",
       .quantity = Quantity::angle,
       .meaning = "total angle of the conical mouth",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 3.14159265358979323846}};
}

std::vector<Key> passage_keys() {
  return {{.name = "internal_loss",
           .symbol = "K_f",
           .meaning = "loss coefficient inside the lip",
           .need = Need::standard,
           .standard = 0.05,
           .lowest = 0.0,
           .source = "0.02 to 0.10, common practice, no source"},
          {.name = "boundary_layer.thickness",
           .symbol = "delta",
           .quantity = Quantity::length,
           .meaning =
               "boundary layer thickness ahead of a scoop that sits on the skin; gives R instead of recovery",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.15}},
          {.name = "boundary_layer.capture_width",
           .symbol = "w",
           .quantity = Quantity::length,
           .meaning = "width of the captured stream",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "facing",
           .symbol = "beta_face",
           .quantity = Quantity::angle,
           .meaning = "yaw angle that the opening faces",
           .need = Need::standard,
           .standard = 0.0,
           .lowest = -3.15,
           .highest = 3.15},
          {.name = "open_fraction",
           .symbol = "f",
           .meaning = "open share of a grille in the opening",
           .need = Need::optional,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true,
           .spread = {.relative = 0.03}},
          {.name = "spill_loss",
           .symbol = "K_rev",
           .meaning = "loss coefficient when air leaves through the inlet: the leaving head",
           .need = Need::standard,
           .standard = 1.0,
           .lowest = 0.0,
           .source = "leaving head lost: definition",
           .tag = Tag::computed,
           .coefficient = true}};
}

std::vector<Key> keys() { return joined({opening_keys(), lip_keys(), passage_keys()}); }

}  // namespace

const Kind& inlet_kind() {
  static const Kind kind{
      .name = "inlet",
      .title = "Inlet",
      .meaning = "an opening in the skin that takes air in",
      .ends = Ends::no_from,
      .keys = keys(),
      .rules = {{Rule::Kind::at_most_one, {"lip_loss", "lip_radius", "lip_projection", "lip_cone"}},
                {Rule::Kind::needs, {"lip_thickness", "lip_projection"}},
                {Rule::Kind::needs, {"lip_cone.length", "lip_cone.angle"}},
                {Rule::Kind::needs, {"lip_cone.angle", "lip_cone.length"}},
                {Rule::Kind::at_most_one, {"recovery", "boundary_layer"}},
                {Rule::Kind::needs, {"boundary_layer.thickness", "boundary_layer.capture_width"}},
                {Rule::Kind::needs, {"boundary_layer.capture_width", "boundary_layer.thickness"}}},
      .formula =
          "p_inside = p_s + R (p_t,inf - p_s) cos^2(yaw) - [K_f + K_lip + K_grille] q_i, "
          "K_lip = k_s max(0, 1 - V_0/V_i)^2, k_s given or from the lip's radius, projection or cone",
      .reference = "throat, density at the recovered pressure",
      .reversed = "p_inside = p_s + R (p_t,inf - p_s) + K_rev q",
      .range =
          "velocity ratios below 1 spill air around the lip; Mach below 0.3; Cp of the sealed skin, not of "
          "the open flow",
      .ranges = {{"velocity_ratio", -0.2, 1.5, "is far from the speeds at which inlets are tested"}},
      .band = 0.10,
      .source =
          "lip: momentum balance, agrees with Fradenburgh & Wyatt 1953, NACA TN 3004; boundary layer: "
          "integral of the 1/7-power profile; k_s of a lip: Idelchik, Handbook of Hydraulic Resistance, "
          "Diagrams "
          "3-1, 3-4, 3-6 and 3-7",
      .tag = Tag::computed,
      .reported = {{"velocity", Quantity::velocity, "mean velocity in the throat"},
                   {"velocity_ratio", Quantity::number, "throat velocity over speed of the car"},
                   {"ram_not_recovered", Quantity::pressure_difference,
                    "freestream total pressure that is lost "
                    "before the opening"},
                   {"pre_entry_pressure", Quantity::number,
                    "pressure coefficient reached before the throat, 1 - (V_i/V_0)^2"}},
      .items = {"lip and internal loss"},
      .monotone_of = &monotone_of,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.042}, {"cp", 0.88}, {"recovery", 0.97}, {"lip_loss", 0.3}},
                  .velocity = 25.0,
                  .area = 0.042,
                  .speed = 50.0}};
  return kind;
}

}  // namespace corefeed::losses
