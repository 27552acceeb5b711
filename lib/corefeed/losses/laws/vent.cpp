// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/close_coupled.hpp"
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
  table,
  gap,
  perimeter,
  open_share,
  outer_gap,
  outer_perimeter,
  outer_open_share,
  location,
  cross_stream,
  cross_stream_ratio,
  inflow_loss,
  inflow_recovery,
  upstream_fitting,
  upstream_distance
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
  if (in.has(outer_gap)) {
    // A panel or tire close outside turns the jet once more: 0.9 of the curtain's head (closure of ours).
    const S curtain = in[outer_gap] * in[outer_perimeter] * in[outer_open_share];
    const S ratio = in[area] / curtain;
    loss += 0.9 * ratio * ratio;
  }
  return loss * upstream_factor<S, 1>(in, upstream_fitting, upstream_distance,
                                      equivalent_diameter<S>(in[area]), {1.2});
}

/// The tested vent: pressure inside above the skin's over the skin's head, against the velocity ratio formed
/// with the square root of the heads, which is that of the velocities for air of one density. Beyond the last
/// point the vent goes on as in still air, with the square of the ratio. `ratio` is not negative; the result
/// is over the skin's head.
template <class S>
S tested_pressure(const Curve& curve, const Same<S>& ratio) {
  const double last = curve.last();
  const S inside = curve_at(curve, smaller<S>(ratio, S(last)));
  const double rest = curve.value(last) / (last * last);
  const S beyond = larger<S>(S(ratio * ratio - last * last), S(0.0));
  const S pressure = inside + rest * beyond;
  return pressure;
}

const CurveForm& form() {
  static const CurveForm one{
      .abscissas = {{"velocity_ratio", Quantity::number,
                     "velocity in the vent over velocity along the skin"}},
      .ordinate = {"pressure_coefficient", Quantity::number,
                   "total pressure inside above the sealed skin's, over the skin's dynamic head"},
      .least_points = 2,
      .from_origin = true};
  return one;
}

/// kappa = 0.40 sin^2(theta) - 0.10 cos(theta), held where an aft-facing vent would run away.
template <class S>
S cross_stream_gain(const Input<S>& in, const Same<S>& coefficient) {
  using std::cos;
  using std::sin;
  const S sine = sin(in[jet_angle]);
  const S cosine = cos(in[jet_angle]);
  const S gain = in[cross_stream] * sine * sine - 0.10 * cosine;
  const S limit = -0.99 * coefficient * in[cross_stream_ratio] * in[cross_stream_ratio];
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
  const S share = select<S>(at_least<S>(gain, S(0.0)), rising, falling);
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
    const OutsideOf<S>& air = *in.outside;
    const S skin = in[cp] * S(air.dynamic_head);
    const S skin_head = larger<S>(S(S(air.total_pressure) - skin), S(0.0));
    const S rooted = 2.0 / air.density * skin_head + 1e-6;
    const S skin_velocity = sqrt(rooted);
    out.boundary = skin;
    const Mask<S> forward = in.forward();
    const S pressure = select<S>(forward, in.pressure_from, skin);
    const S temperature = select<S>(forward, in.temperature_from, S(air.total_temperature));
    const Local<S> local = local_state<S>(in, in[area], pressure, temperature);
    const S still = still_air_loss<S>(in);
    const S taken_in = in[inflow_loss] + (in.from_plenum ? 1.0 : 0.0);
    const S coefficient = either_way<S>(local, still, taken_in);
    out.item[0] = coefficient * local.head;
    // Near rest the coefficient in hand limits what the outer stream may help.
    const S gain = cross_stream_gain<S>(in, coefficient);
    // Unlike the rounded speed this magnitude is 0 at rest, so that outflow and inflow meet without a jump.
    const S magnitude = local.velocity * local.velocity / local.speed;
    if (in.has(table)) {
      // The skin's head vanishes with the car's speed; a thousandth of a pascal keeps the ratio finite.
      const S floor_head = skin_head + 1e-3;
      const S scale = sqrt(S(0.5 * local.density / floor_head));
      // In this order air at rest keeps the slope of its flow.
      const S ratio = larger<S>(S(0.0), local.velocity) * scale;
      const S tested = floor_head * tested_pressure<S>(in.curve(table), ratio);
      out.item[0] = select<S>(forward, tested, out.item[0]);
    }
    const S leaving = outflow_stream<S>(in, gain, skin_head, magnitude, skin_velocity);
    // Near rest both coefficients take part; the smaller limits what may be recovered.
    const S entering = inflow_stream<S>(in, smaller<S>(taken_in, still), skin_head, magnitude, skin_velocity);
    // A table holds the outer stream's effect already.
    out.item[1] = select<S>(forward, in.has(table) ? S(0.0) : leaving, entering);
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = local.velocity / skin_velocity;
    const S loss = out.item[0] + out.item[1];
    const S ratio = local.head / select<S>(above<S>(S(loss * loss), S(0.0)), loss, S(1.0));
    out.reported[2] = sqrt(larger<S>(ratio, S(1e-12)));
    out.reported[3] = still;
    out.reported[4] = in.has(table) ? S(local.velocity / skin_velocity / in.curve(table).last()) : S(0.0);
  }
};

/// The skin pressure where the flow is guessed worst is known worst.
Spread cp_spread(const Values& values) {
  return {.absolute = values.has(location) && values.number[location] > 0.0 ? 0.15 : 0.08};
}

/// A pressure that falls while the flow rises allows two states of the car.
bool monotone_of(const Values& values) {
  return !values.has(table) || values.curve[table]->falling().empty();
}

std::string mended(const Values& values) {
  if (values.has(table)) {
    return monotone_of(values)
               ? ""
               : "the table's pressure falls while the flow rises: more than one operating point "
                 "is possible";
  }
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

/// Gap and perimeter go together, an open share goes with them.
void add_blocker_rules(std::vector<Rule>& list, bool outer) {
  const std::string_view gap_key = outer ? "outer_blocker.gap" : "blocker.gap";
  const std::string_view perimeter_key = outer ? "outer_blocker.perimeter" : "blocker.perimeter";
  const std::string_view share_key = outer ? "outer_blocker.open_share" : "blocker.open_share";
  list.push_back({Rule::Kind::needs, {gap_key, perimeter_key}});
  list.push_back({Rule::Kind::needs, {perimeter_key, gap_key}});
  list.push_back({Rule::Kind::needs, {share_key, gap_key}});
}

std::vector<Key> opening_keys() {
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
      {.name = "table",
       .meaning =
           "the vent as CFD or a test found it: inside pressure coefficient over velocity ratio, instead of "
           "the laws of vent loss and outer stream",
       .need = Need::optional,
       .curve = &form()}};
}

std::vector<Key> blocker_keys() {
  return {{.name = "blocker.gap",
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
          {.name = "outer_blocker.gap",
           .symbol = "s_o",
           .quantity = Quantity::length,
           .meaning = "distance from the skin to what stands close outside the vent",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.10}},
          {.name = "outer_blocker.perimeter",
           .symbol = "P_o",
           .quantity = Quantity::length,
           .meaning = "perimeter of the part covered outside",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "outer_blocker.open_share",
           .symbol = "y_o",
           .meaning = "share of that perimeter through which air can leave",
           .need = Need::standard,
           .standard = 1.0,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true}};
}

std::vector<Key> stream_keys() {
  return {
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

std::vector<Key> keys() {
  std::vector<Key> list = joined({opening_keys(), blocker_keys(), stream_keys()});
  add_upstream_keys(list, {"bend"});
  return list;
}

std::vector<Rule> rules() {
  std::vector<Rule> list = upstream_rules();
  list.push_back({Rule::Kind::exactly_one, {"discharge_coefficient", "open_fraction", "table"}});
  add_blocker_rules(list, false);
  add_blocker_rules(list, true);
  list.push_back({Rule::Kind::at_most_one, {"table", "blocker"}});
  list.push_back({Rule::Kind::at_most_one, {"table", "outer_blocker"}});
  list.push_back({Rule::Kind::at_most_one, {"table", "blade_angle"}});
  return list;
}

}  // namespace

const Kind& vent_kind() {
  static const Kind kind{
      .name = "vent",
      .title = "Vent",
      .meaning = "an opening in the skin that lets air out: hole, louvres, gap",
      .ends = Ends::no_to,
      .keys = keys(),
      .rules = rules(),
      .formula =
          "p_inside - p_s = K_0 q_v + kappa q_s VR/(VR + VR_0), kappa = kappa_90 sin^2(theta) - 0.10 "
          "cos(theta) (kappa < 0: VR^2/(VR^2 + VR_0^2)); K_0 = 1/Cd^2, or 1 + K_plate(f) + K_mitre(d); + "
          "(A_v/A_c)^2 with A_c = gap * perimeter * open share behind a blocked vent, + 0.9 (A_v/A_o)^2 with "
          "a cover outside, up to 1.2 times close behind a bend; or the table of a test",
      .reference = "gross area, density inside",
      .reversed = "p_inside = p_s + R_f q_s VR^2/(VR^2 + 0.15^2) - K_in q_v",
      .range =
          "the least certain law here: kappa and VR_0 are known to 40 %, and slow vents may cost a third "
          "less "
          "(the resistance of holes in a grazing stream, M/(2 sigma), asks for VR_0 near 0.4); replace them "
          "by "
          "CFD or a test under `table`",
      .ranges = {{"velocity_ratio", -1.0, 2.5, "is beyond the velocity ratios at which vents were tested"},
                 {"share_of_tested_ratio", -0.0001, 1.0, "is beyond the velocity ratios of the table"}},
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
                   {"still_air_loss", Quantity::number, "K_0 on the gross area's head"},
                   {"share_of_tested_ratio", Quantity::number,
                    "velocity ratio over the largest of the table; 0 without one"}},
      .items = {"vent loss", "cross-stream"},
      .monotone_of = &monotone_of,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.04}, {"cp", -0.4}, {"open_fraction", 0.72}},
                  .velocity = 20.0,
                  .area = 0.04,
                  .speed = 50.0}};
  return kind;
}

}  // namespace corefeed::losses
