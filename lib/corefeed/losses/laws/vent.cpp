// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"
#include "corefeed/losses/mitre.hpp"
#include "corefeed/losses/plate.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t {
  area,
  cp,
  jet_angle,
  discharge_coefficient,
  open_fraction,
  blade_angle,
  gap,
  perimeter,
  open_share,
  location,
  cross_stream,
  cross_stream_ratio,
  inflow_loss,
  inflow_recovery
};

/// K_0: the vent in still air, leaving head included; with what stands close behind it as a curtain of area
/// A_c = gap * perimeter * open share that the air has to pass.
template <class S>
S still_air_loss(const Input<S>& in) {
  S loss(1.0);
  if (in.has(discharge_coefficient)) loss = 1.0 / (in[discharge_coefficient] * in[discharge_coefficient]);
  if (in.has(open_fraction)) loss += plate_loss<S>(in[open_fraction]);
  if (in.has(blade_angle)) loss += mitre_loss<S>(in[blade_angle]);
  if (in.has(gap)) {
    const S curtain = in[gap] * in[perimeter] * in[open_share];
    const S ratio = in[area] / curtain;
    loss += ratio * ratio;
  }
  return loss;
}

/// kappa = 0.40 sin^2(theta) - 0.10 cos(theta), held where an aft-facing vent would run away.
template <class S>
S cross_stream_gain(const Input<S>& in, const Same<S>& still) {
  using std::cos;
  using std::sin;
  const S sine = sin(in[jet_angle]);
  const S cosine = cos(in[jet_angle]);
  const S gain = in[cross_stream] * sine * sine - 0.10 * cosine;
  const S limit = -0.99 * still * in[cross_stream_ratio] * in[cross_stream_ratio];
  return larger<S>(gain, limit);
}

/// What the outer stream adds to (or takes from) the pressure that drives air out, Pa.
template <class S>
S outflow_stream(const Input<S>& in, const Same<S>& gain, const Same<S>& skin_head, const Same<S>& velocity,
                 const Same<S>& skin_velocity) {
  const S scale = in[cross_stream_ratio] * skin_velocity;
  const S rising = velocity / (velocity + scale);
  const S squared = velocity * velocity;
  const S falling = squared / (squared + scale * scale);
  const S share = select<S>(value_of(gain) >= 0.0, rising, falling);
  return gain * skin_head * share;
}

/// Ram recovered by a vent that takes air in, Pa: R_f q_s VR^2 / (VR^2 + 0.15^2), R_f held so that the inside
/// pressure never rises with the inflow.
template <class S>
S inflow_stream(const Input<S>& in, const Same<S>& loss, const Same<S>& skin_head, const Same<S>& velocity,
                const Same<S>& skin_velocity) {
  constexpr double width = 0.15;
  const S recovery = smaller<S>(in[inflow_recovery], S(0.9 * width * width * loss));
  const S scale = width * skin_velocity;
  const S squared = velocity * velocity;
  const S share = squared / (squared + scale * scale);
  return recovery * skin_head * share;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    using std::sqrt;
    const Surroundings& air = *in.outside;
    const S skin = in[cp] * air.dynamic_head;
    const S skin_head = larger<S>(S(air.total_pressure - skin), S(0.0));
    const S rooted = 2.0 / air.density * skin_head + 1e-6;
    const S skin_velocity = sqrt(rooted);
    out.boundary = skin;
    const bool forward = in.forward();
    const S pressure = select<S>(forward, in.pressure_from, skin);
    const S temperature = select<S>(forward, in.temperature_from, S(air.total_temperature));
    const Local<S> local = local_state<S>(in, in[area], pressure, temperature);
    const S still = still_air_loss<S>(in);
    const S taken_in = in[inflow_loss] + (in.from_plenum ? 1.0 : 0.0);
    const S onward = forward_share<S>(local);
    const S coefficient = onward * still + (1.0 - onward) * taken_in;
    out.item[0] = coefficient * local.head;
    const S gain = cross_stream_gain<S>(in, still);
    // Unlike the rounded speed this magnitude is 0 at rest, so that outflow and inflow meet without a jump.
    const S magnitude = local.velocity * local.velocity / local.speed;
    const S leaving = outflow_stream<S>(in, gain, skin_head, magnitude, skin_velocity);
    const S entering = inflow_stream<S>(in, taken_in, skin_head, magnitude, skin_velocity);
    out.item[1] = select<S>(forward, leaving, entering);
    out.reported[0] = local.velocity;
    out.reported[1] = local.velocity / skin_velocity;
    const S loss = out.item[0] + out.item[1];
    const S ratio = local.head / select<S>(value_of(loss) == 0.0, S(1.0), loss);
    out.reported[2] = sqrt(larger<S>(ratio, S(1e-12)));
    out.reported[3] = still;
  }
};

/// The skin pressure where the flow is guessed worst is known worst.
Spread cp_spread(const Values& values) {
  return {.absolute = values.has(location) && values.number[location] > 0.0 ? 0.15 : 0.08};
}

std::string mended(const Values& values) {
  Input<double> in;
  in.value = values.number.data();
  in.given = values.given;
  const double still = still_air_loss<double>(in);
  const double gain = cross_stream_gain<double>(in, still);
  const double limit = -0.99 * still * in[cross_stream_ratio] * in[cross_stream_ratio];
  if (gain > limit) return "";
  return "the gain from the outer stream of this aft-facing vent is held at its limit, where the law stops "
         "being "
         "single-valued";
}

std::vector<Key> keys() {
  return {
      area_key("area", "A_v", "gross area of the vent", 0.02),
      {.name = "cp",
       .symbol = "Cp",
       .meaning = "static pressure coefficient of the sealed skin, mean over the opening; every point may "
                  "give its own",
       .lowest = -6.0,
       .highest = 1.2,
       .spread_of = &cp_spread,
       .source = "sealed-skin CFD, closure of ours: 0.08, 0.15 under the floor or in a wheel arch",
       .tag = Tag::closure,
       .by_point = true},
      {.name = "jet_angle",
       .symbol = "theta",
       .quantity = Quantity::angle,
       .meaning =
           "angle between the leaving jet and the outer stream: 90 deg a plain hole, 0 aft along the skin",
       .need = Need::standard,
       .standard = 1.5707963267948966,
       .lowest = 0.0,
       .highest = 3.1415926535897932},
      {.name = "discharge_coefficient",
       .symbol = "Cd",
       .meaning = "discharge coefficient in still air, leaving head included: 0.60-0.64 a plain thin hole",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true,
       .spread = {.relative = 0.08},
       .source = "Kirchhoff 1869 (0.611, plane slot); round holes 0.58-0.64",
       .tag = Tag::from_memory},
      {.name = "open_fraction",
       .symbol = "f",
       .meaning = "open share of louvres or a grille in the vent",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true,
       .spread = {.relative = 0.03},
       .source = "measured blades, common practice, no source"},
      {.name = "blade_angle",
       .symbol = "d",
       .quantity = Quantity::angle,
       .meaning = "angle by which louvre blades turn the air",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 1.5707963267948966},
      {.name = "blocker.gap",
       .symbol = "s",
       .quantity = Quantity::length,
       .meaning = "distance from the skin to what stands behind the vent",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true,
       .spread = {.relative = 0.10},
       .source = "as built, common practice, no source"},
      {.name = "blocker.perimeter",
       .symbol = "P",
       .quantity = Quantity::length,
       .meaning = "perimeter of the blocked part",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "blocker.open_share",
       .symbol = "y",
       .meaning = "share of that perimeter through which air can reach the gap",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true},
      {.name = "location",
       .meaning = "where the vent is: sets how well its Cp is known",
       .need = Need::optional,
       .choices = {"body", "underfloor", "wheel_arch"}},
      {.name = "cross_stream",
       .symbol = "kappa_90",
       .meaning = "share of the skin's head that a normal jet needs to push into the outer stream",
       .need = Need::standard,
       .standard = 0.40,
       .lowest = 0.0,
       .highest = 2.0,
       .spread = {.relative = 0.40},
       .source =
           "closure between zero-flow and still-air limits after Hay, Lampard & Benmansour 1983; Karava et "
           "al. 2004",
       .tag = Tag::closure,
       .coefficient = true,
       .shared = true},
      {.name = "cross_stream_ratio",
       .symbol = "VR_0",
       .meaning = "velocity ratio at which half of the cross-stream effect is reached",
       .need = Need::standard,
       .standard = 0.25,
       .lowest = 0.0,
       .highest = 5.0,
       .above_lowest = true,
       .spread = {.relative = 0.40},
       .source = "closure between zero-flow and still-air limits",
       .tag = Tag::closure,
       .coefficient = true,
       .shared = true},
      {.name = "inflow_loss",
       .symbol = "K_in",
       .meaning = "loss coefficient when the vent takes air in; 1 more where it dumps into a plenum",
       .need = Need::standard,
       .standard = 1.7,
       .lowest = 0.5,
       .source = "sharp hole: Cd 0.61 less its leaving head",
       .tag = Tag::closure,
       .coefficient = true},
      {.name = "inflow_recovery",
       .symbol = "R_f",
       .meaning = "ram recovered by a vent that takes air in",
       .need = Need::standard,
       .standard = 0.05,
       .lowest = 0.0,
       .highest = 1.0,
       .source = "flush hole without ramp: 0 to 0.15",
       .tag = Tag::closure,
       .coefficient = true}};
}

}  // namespace

const Kind& vent_kind() {
  static const Kind kind{
      .name = "vent",
      .title = "Vent",
      .meaning = "an opening in the skin that lets air out: hole, louvres, gap",
      .ends = Ends::no_to,
      .keys = keys(),
      .rules = {{Rule::Kind::exactly_one, {"discharge_coefficient", "open_fraction"}},
                {Rule::Kind::needs, {"blocker.gap", "blocker.perimeter"}},
                {Rule::Kind::needs, {"blocker.perimeter", "blocker.gap"}},
                {Rule::Kind::needs, {"blocker.open_share", "blocker.gap"}}},
      .formula =
          "p_inside - p_s = K_0 q_v + kappa q_s VR/(VR + VR_0), kappa = kappa_90 sin^2(theta) - 0.10 "
          "cos(theta) (kappa < 0: VR^2/(VR^2 + VR_0^2)); K_0 = 1/Cd^2, or 1 + K_plate(f) + K_mitre(d); + "
          "(A_v/A_c)^2 with A_c = gap * perimeter * open share behind a blocked vent",
      .reference = "gross area, density inside",
      .reversed = "p_inside = p_s + R_f q_s VR^2/(VR^2 + 0.15^2) - K_in q_v",
      .range = "the least certain law here: kappa and VR_0 are known to 40 %; replace them by CFD or a test",
      .ranges = {{"velocity_ratio", -1.0, 2.5, "is beyond the velocity ratios at which vents were tested"}},
      .band = 0.40,
      .source =
          "plate: Idelchik, Diagram 8-1; curtain: momentum, agrees with Idelchik ch. 3; cross-stream: "
          "closure of ours",
      .tag = Tag::closure,
      .mended = &mended,
      .reported = {{"velocity", Quantity::velocity, "mean velocity in the gross area"},
                   {"velocity_ratio", Quantity::number, "vent velocity over velocity along the skin"},
                   {"effective_discharge_coefficient", Quantity::number,
                    "discharge coefficient on skin pressure"},
                   {"still_air_loss", Quantity::number, "K_0 on the gross area's head"}},
      .items = {"vent loss", "cross-stream"},
      .law = law_of<Formula>()};
  return kind;
}

}  // namespace corefeed::losses
