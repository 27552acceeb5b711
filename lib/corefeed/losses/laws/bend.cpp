// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/close_coupled.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"
#include "corefeed/losses/mitre.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t {
  angle,
  radius,
  area,
  hydraulic_diameter,
  aspect,
  style,
  vanes,
  segments,
  roughness,
  wall,
  entrance_loss,
  opposite_mouth,
  upstream_fitting,
  upstream_distance,
  loss_factor
};
enum Style { smooth, mitre, segmented, vaned, stamped };

inline constexpr double degree = 3.14159265358979323846 / 180.0;

/// A1: 0.9 sin d up to 70 degrees, 1 at 90, 0.7 + 0.35 d/90 from 100 on, straight lines between.
template <class S>
S angle_factor(const Same<S>& turn) {
  using std::sin;
  static constexpr std::array<std::array<double, 2>, 3> middle{
      {{70 * degree, 0.8457233587}, {90 * degree, 1.0}, {100 * degree, 1.0888888889}}};
  const S small = 0.9 * sin(turn);
  const S large = 0.7 + 0.35 / (90 * degree) * turn;
  const S between = interpolate<S>(middle, turn);
  const S upper = select<S>(at_least<S>(turn, S(100 * degree)), large, between);
  return select<S>(above<S>(turn, S(70 * degree)), upper, small);
}

/// B1: 0.21 (R/D)^-2.5 below R/D 1, 0.21 (R/D)^-0.5 from there on.
template <class S>
S radius_factor(const Same<S>& ratio) {
  const S tight = 0.21 * power<S>(ratio, S(-2.5));
  const S wide = 0.21 * power<S>(ratio, S(-0.5));
  return select<S>(at_least<S>(ratio, S(1.0)), wide, tight);
}

/// C1 over a/b, the side along the bend's axis over the side in its plane.
template <class S>
S aspect_factor(const Same<S>& ratio) {
  const S low = 0.85 + 0.125 / ratio;
  const S high = 1.115 - 0.84 / ratio;
  return select<S>(above<S>(ratio, S(4.0)), high, low);
}

/// A mitre's own dependence on a/b: ASHRAE Fundamentals 2005, fitting CR3-6, 90 degrees, relative to square.
template <class S>
S mitre_aspect_factor(const Same<S>& ratio) {
  static constexpr std::array<std::array<double, 2>, 10> table{{{0.25, 1.083},
                                                                {0.5, 1.083},
                                                                {0.75, 1.0},
                                                                {1.0, 1.0},
                                                                {1.5, 0.917},
                                                                {2.0, 0.917},
                                                                {3.0, 0.817},
                                                                {4.0, 0.767},
                                                                {6.0, 0.708},
                                                                {8.0, 0.692}}};
  return interpolate<S>(table, ratio);
}

/// Side of the section in the plane of the bend (the diameter of a round one), on which Diagram 6-1 puts the
/// radius: a b and 2 a b/(a + b) of a rectangle give b = D_h (1 + a/b) / (2 a/b).
template <class S>
S width_of(const Input<S>& in) {
  const S width = in[hydraulic_diameter] * (1.0 + in[aspect]) / (2.0 * in[aspect]);
  return width;
}

/// Smooth elbow of a rectangle with one splitter vane, 90 degrees: rows R/b, columns a/b. ASHRAE Fundamentals
/// 2005, fitting CR3-3.
template <class S>
S splitter_loss(const Same<S>& radius_ratio, const Same<S>& aspect_ratio) {
  static constexpr Chart<10, 8> chart{{0.55, 0.60, 0.65, 0.70, 0.75, 0.80, 0.85, 0.90, 0.95, 1.00},
                                      {0.25, 0.5, 1.0, 1.5, 2.0, 4.0, 6.0, 8.0},
                                      {{{0.52, 0.40, 0.43, 0.49, 0.55, 0.75, 0.93, 1.09},
                                        {0.36, 0.27, 0.25, 0.28, 0.30, 0.39, 0.46, 0.52},
                                        {0.28, 0.21, 0.18, 0.19, 0.20, 0.25, 0.28, 0.32},
                                        {0.22, 0.16, 0.14, 0.14, 0.15, 0.17, 0.19, 0.21},
                                        {0.18, 0.13, 0.11, 0.11, 0.11, 0.13, 0.14, 0.15},
                                        {0.15, 0.11, 0.09, 0.09, 0.09, 0.10, 0.11, 0.12},
                                        {0.13, 0.09, 0.08, 0.07, 0.07, 0.08, 0.08, 0.09},
                                        {0.11, 0.08, 0.07, 0.06, 0.06, 0.07, 0.07, 0.07},
                                        {0.10, 0.07, 0.06, 0.05, 0.05, 0.05, 0.06, 0.06},
                                        {0.09, 0.06, 0.05, 0.05, 0.04, 0.04, 0.05, 0.05}}}};
  return interpolate<S>(chart, radius_ratio, aspect_ratio);
}

/// Round elbow from 3, 4 or 5 straight pieces, 90 degrees: rows pieces, columns R/D. ASHRAE Fundamentals
/// 2009, fittings CD3-12 (3 pieces) and, for 4 and 5, the older table of the same handbook.
template <class S>
S pieces_loss(const Same<S>& pieces, const Same<S>& radius_ratio) {
  static constexpr Chart<3, 4> chart{
      {3.0, 4.0, 5.0},
      {0.75, 1.0, 1.5, 2.0},
      {{{0.54, 0.42, 0.34, 0.33}, {0.50, 0.37, 0.27, 0.24}, {0.46, 0.33, 0.24, 0.19}}}};
  return interpolate<S>(chart, pieces, radius_ratio);
}

/// How the loss of a small elbow exceeds that of one of 0.2 m: R/D 1.5, five pieces (fitting CD3-9) and
/// pressed from two halves (CD3-1), ASHRAE Fundamentals 2009. Small elbows see a lower Reynolds number at the
/// same velocity and have the same seams.
template <class S>
S pieces_size_factor(const Same<S>& pieces, const Same<S>& diameter) {
  static constexpr std::array<std::array<double, 2>, 9> table{{{0.0762, 0.51 / 0.24},
                                                               {0.1524, 0.28 / 0.24},
                                                               {0.2286, 0.21 / 0.24},
                                                               {0.3048, 0.18 / 0.24},
                                                               {0.3810, 0.16 / 0.24},
                                                               {0.4572, 0.15 / 0.24},
                                                               {0.5334, 0.14 / 0.24},
                                                               {0.6096, 0.13 / 0.24},
                                                               {0.6858, 0.12 / 0.24}}};
  const S five = interpolate<S>(table, diameter);
  // The table for three pieces knows no diameter.
  const S weight = held_between<S>(S(0.5 * (pieces - 3.0)), 0.0, 1.0);
  const S factor = 1.0 + weight * (five - 1.0);
  return factor;
}

template <class S>
S pieces_of(const Input<S>& in) {
  return in.has(segments) ? in[segments] : S(5.0);
}

/// Round elbow pressed from two halves, R/D 1.5, 90 degrees: ASHRAE Fundamentals 2009, fitting CD3-1.
template <class S>
S stamped_loss(const Same<S>& diameter) {
  static constexpr std::array<std::array<double, 2>, 7> table{{{0.0762, 0.30},
                                                               {0.1016, 0.21},
                                                               {0.1270, 0.16},
                                                               {0.1524, 0.14},
                                                               {0.1778, 0.12},
                                                               {0.2032, 0.11},
                                                               {0.2540, 0.11}}};
  return interpolate<S>(table, diameter);
}

/// Below Re 2e5 a turn loses more; the handbook's tables of small sheet-metal elbows hold it already.
template <class S>
S slow_rise(const Same<S>& reynolds) {
  const S held = held_between<S>(reynolds, 4e3, 2e5);
  return power<S>(S(2e5 / held), S(0.2));
}

/// Loss coefficient of the turn alone.
template <class S>
S turn_loss(const Input<S>& in, const Same<S>& reynolds) {
  const S ratio = in[radius] / width_of<S>(in);
  const S turn = angle_factor<S>(in[angle]);
  switch (in.choice(style)) {
    case mitre:
      return mitre_loss<S>(in[angle]) * mitre_aspect_factor<S>(in[aspect]) * slow_rise<S>(reynolds);
    case vaned:
      // Thin circular-arc vanes in a square corner: 0.20 at 90 degrees, in proportion below.
      return 0.20 * turn * slow_rise<S>(reynolds);
    case segmented:
      return turn * pieces_loss<S>(pieces_of(in), ratio) *
             pieces_size_factor<S>(pieces_of(in), in[hydraulic_diameter]);
    case stamped:
      return turn * stamped_loss<S>(in[hydraulic_diameter]) * power<S>(S(1.5 / ratio), S(0.5));
    default:
      if (in.has(vanes)) return turn * splitter_loss<S>(ratio, in[aspect]) * slow_rise<S>(reynolds);
      return turn * radius_factor<S>(ratio) * aspect_factor<S>(in[aspect]) * slow_rise<S>(reynolds);
  }
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S reynolds = reynolds_of<S>(in, local, in[hydraulic_diameter]);
    const S uneven = upstream_factor<S, 4>(in, upstream_fitting, upstream_distance, in[hydraulic_diameter],
                                           {1.3, 0.8, 1.1, 1.3});
    const S turned = turn_loss<S>(in, reynolds) * uneven;
    // The laminar share 800/Re fades out around Re 3000, so gently that the loss never falls while the flow
    // rises; a turn that loses next to nothing has so much less of it. Closure of ours: with a coefficient
    // below 0.042 the whole share would make it fall around Re 4000.
    constexpr double least_turned = 0.045;
    const S laminar = 800.0 * smaller<S>(S(1.0), S(turned / least_turned));
    const S fast = reynolds / 3000.0;
    const S slow = laminar / (reynolds * (1.0 + fast * fast * fast));
    const S coefficient = in[loss_factor] * (turned + slow);
    out.item[0] = coefficient * local.head;
    const S arc = in.has(radius) ? S(in[radius] * in[angle]) : S(0.0);
    const S rough = relative_roughness<S>(in, roughness, wall, in[hydraulic_diameter]);
    const S factor = darcy_friction<S>(reynolds, rough);
    out.item[1] = factor * arc / in[hydraulic_diameter] * local.head;
    out.item[2] = end_losses<S>(in, local.head, local.head, in[entrance_loss],
                                jet_lost<S>(in, opposite_mouth, in[area]));
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
    out.reported[2] = in.has(radius) ? S(in[radius] / width_of<S>(in)) : S(1.0);
  }
};

std::string contradiction(const Values& values) {
  const int kind = static_cast<int>(values.number[style]);
  const bool curved = kind == smooth || kind == segmented || kind == stamped;
  if (curved && !values.has(radius)) return "a smooth, segmented or stamped bend needs its radius";
  if (values.has(vanes) && kind == smooth && values.number[vanes] > 1.0) {
    return "a smooth bend is covered with one splitter vane; for a corner full of turning vanes write "
           "\"style\": \"vaned\"";
  }
  return "";
}

Spread law_spread(const Values& values) {
  return {.relative = static_cast<int>(values.number[style]) == vaned ? 0.30 : 0.15};
}

std::vector<Rule> rules() {
  std::vector<Rule> list = upstream_rules();
  list.push_back(one_roughness());
  return list;
}

std::vector<Key> keys() {
  Key factor = loss_factor_key(0.15);
  factor.spread_of = &law_spread;
  std::vector<Key> list{
      {.name = "angle",
       .symbol = "d",
       .quantity = Quantity::angle,
       .meaning = "angle by which the duct turns",
       .lowest = 0.0,
       .highest = 3.1415926535897932,
       .above_lowest = true},
      {.name = "radius",
       .symbol = "R",
       .quantity = Quantity::length,
       .meaning = "radius of the centreline; not for a mitre",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      area_key("area", "A", "area of the section", 0.01),
      {.name = "hydraulic_diameter",
       .symbol = "D_h",
       .quantity = Quantity::length,
       .meaning = "4 area / wetted perimeter",
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "aspect",
       .symbol = "a/b",
       .meaning = "side along the bend's axis over side in its plane; 1 for round and square",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.05,
       .highest = 20.0},
      {.name = "style",
       .meaning = "smooth, mitre (sharp corner), segmented (from straight pieces) or vaned (corner with "
                  "turning vanes) or stamped (round, pressed from two halves)",
       .need = Need::standard,
       .standard = 0,
       .choices = {"smooth", "mitre", "segmented", "vaned", "stamped"}},
      {.name = "vanes",
       .symbol = "n",
       .meaning =
           "number of vanes: 1 splits a smooth bend; in a vaned corner for the record, the law holds for "
           "a well-filled cascade",
       .need = Need::optional,
       .lowest = 1.0,
       .highest = 50.0},
      {.name = "segments",
       .symbol = "n",
       .meaning = "number of straight pieces of a segmented bend, the ends counted; 5 if absent",
       .need = Need::optional,
       .lowest = 3.0,
       .highest = 9.0},
      roughness_key(),
      wall_key(),
      entrance_loss_key(),
      opposite_mouth_key()};
  add_upstream_keys(list, {"bend_opposed", "bend_same_way", "bend_twisted", "diffuser"});
  list.push_back(factor);
  return list;
}

}  // namespace

const Kind& bend_kind() {
  static const Kind kind{
      .name = "bend",
      .title = "Bend",
      .meaning = "a turn of a duct: smooth, mitred, segmented or with turning vanes",
      .keys = keys(),
      .rules = rules(),
      .formula =
          "smooth: K = A1 B1 C1, A1 = 0.9 sin d (to 70 deg), 1 (90), 0.7 + 0.35 d/90 (from 100); B1 = 0.21 "
          "(R/D)^-2.5 (R/D < 1), 0.21 (R/D)^-0.5; C1 = 0.85 + 0.125 b/a (a/b <= 4), 1.115 - 0.84 b/a; "
          "one splitter vane, segmented and stamped: tables over R/D, a/b, pieces and diameter; mitre: A "
          "(0.95 "
          "sin^2(d/2) + 2.05 sin^4(d/2)) times C(a/b); vaned: 0.20 A1; D the diameter or the side b; smooth, "
          "mitre and vaned times (2e5/Re)^0.2 below Re 2e5; close behind another fitting times 1 + (c_0 - 1) "
          "exp(-x/(4 D_h)), c_0 = 1.3 opposed bend, 0.8 same way, 1.1 twisted, 1.3 diffuser; + 800/Re when "
          "laminar, in proportion to K below 0.045; + f R d / D_h",
      .reference = "own section, upwind density",
      .reversed = "the same with the other sign",
      .range = "R/D from 0.5; spacing from other fittings above 5 diameters",
      .ranges = {{"radius_ratio", 0.5, 20.0, "is a tighter or wider bend than the law covers"}},
      .band = 0.15,
      .source =
          "Idelchik, Handbook of Hydraulic Resistance, Diagram 6-1; checked against ASHRAE Fundamentals "
          "2005, fittings CR3-1 and CR3-6; tables: CR3-3, CD3-1, CD3-9, CD3-12 of the same handbook",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = {{"velocity", Quantity::velocity, "mean velocity"},
                   {"reynolds", Quantity::number, "Reynolds number on the hydraulic diameter"},
                   {"radius_ratio", Quantity::number, "R over diameter or in-plane side; 1 for a corner"}},
      .items = {"bend", "friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"angle", 1.5707963267948966},
                              {"radius", 0.24},
                              {"area", 0.02},
                              {"hydraulic_diameter", 0.16}},
                  .velocity = 15.0,
                  .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
