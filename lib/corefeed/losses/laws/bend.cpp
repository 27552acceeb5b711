// SPDX-License-Identifier: Apache-2.0
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
  roughness,
  entrance_loss,
  loss_factor
};
enum Style { smooth, mitre, segmented, vaned };

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
  const S upper = select<S>(value_of(turn) >= 100 * degree, large, between);
  return select<S>(value_of(turn) <= 70 * degree, small, upper);
}

/// B1: 0.21 (R/D)^-2.5 below R/D 1, 0.21 (R/D)^-0.5 from there on.
template <class S>
S radius_factor(const Same<S>& ratio) {
  const S tight = 0.21 * power<S>(ratio, S(-2.5));
  const S wide = 0.21 * power<S>(ratio, S(-0.5));
  return select<S>(value_of(ratio) < 1.0, tight, wide);
}

/// C1 over a/b, the side along the bend's axis over the side in its plane.
template <class S>
S aspect_factor(const Same<S>& ratio) {
  const S low = 0.85 + 0.125 / ratio;
  const S high = 1.115 - 0.84 / ratio;
  return select<S>(value_of(ratio) <= 4.0, low, high);
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

/// Loss coefficient of the turn alone at high Reynolds number.
template <class S>
S turn_loss(const Input<S>& in) {
  const int kind = static_cast<int>(value_of(in[style]));
  if (kind == mitre) return mitre_loss<S>(in[angle]) * mitre_aspect_factor<S>(in[aspect]);
  // Thin circular-arc vanes in a square corner: 0.20 at 90 degrees, in proportion below.
  if (kind == vaned) return 0.20 * angle_factor<S>(in[angle]);
  const S ratio = in[radius] / width_of<S>(in);
  const S loss = angle_factor<S>(in[angle]) * radius_factor<S>(ratio) * aspect_factor<S>(in[aspect]);
  return kind == segmented ? S(1.5 * loss) : loss;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S reynolds = reynolds_of<S>(in, local, in[hydraulic_diameter]);
    // Below Re 2e5 the turn loses more; the laminar share 800/Re fades out around Re 3000, so gently that the
    // loss never falls while the flow rises.
    const S held = larger<S>(smaller<S>(reynolds, S(2e5)), S(4e3));
    const S rise = power<S>(S(2e5 / held), S(0.2));
    const S fast = reynolds / 3000.0;
    const S slow = 800.0 / (reynolds * (1.0 + fast * fast * fast));
    const S coefficient = in[loss_factor] * (turn_loss<S>(in) * rise + slow);
    out.item[0] = coefficient * local.head;
    const S arc = in.has(radius) ? S(in[radius] * in[angle]) : S(0.0);
    const S factor = darcy_friction<S>(reynolds, S(in[roughness] / in[hydraulic_diameter]));
    out.item[1] = factor * arc / in[hydraulic_diameter] * local.head;
    out.item[2] = end_losses<S>(in, local.head, local.head, in[entrance_loss]);
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
    out.reported[2] = in.has(radius) ? S(in[radius] / width_of<S>(in)) : S(1.0);
  }
};

std::string contradiction(const Values& values) {
  const int kind = static_cast<int>(values.number[style]);
  if ((kind == smooth || kind == segmented) && !values.has(radius)) {
    return "a smooth or segmented bend needs its radius";
  }
  return "";
}

Spread law_spread(const Values& values) {
  return {.relative = static_cast<int>(values.number[style]) == vaned ? 0.30 : 0.15};
}

std::vector<Key> keys() {
  Key factor = loss_factor_key(0.15);
  factor.spread_of = &law_spread;
  return {{.name = "angle",
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
                      "turning vanes)",
           .need = Need::standard,
           .standard = 0,
           .choices = {"smooth", "mitre", "segmented", "vaned"}},
          {.name = "vanes",
           .symbol = "n",
           .meaning = "number of turning vanes; for the record, the law holds for a well-filled cascade",
           .need = Need::optional,
           .lowest = 1.0,
           .highest = 50.0},
          roughness_key(),
          entrance_loss_key(),
          factor};
}

}  // namespace

const Kind& bend_kind() {
  static const Kind kind{
      .name = "bend",
      .title = "Bend",
      .meaning = "a turn of a duct: smooth, mitred, segmented or with turning vanes",
      .keys = keys(),
      .formula =
          "smooth: K = A1 B1 C1, A1 = 0.9 sin d (to 70 deg), 1 (90), 0.7 + 0.35 d/90 (from 100); B1 = 0.21 "
          "(R/D)^-2.5 (R/D < 1), 0.21 (R/D)^-0.5; C1 = 0.85 + 0.125 b/a (a/b <= 4), 1.115 - 0.84 b/a; "
          "segmented: 1.5 times; mitre: A (0.95 sin^2(d/2) + 2.05 sin^4(d/2)) times C(a/b); vaned: 0.20 A1; "
          "D the diameter or the side b; times (2e5/Re)^0.2 below Re 2e5; + 800/Re when laminar; "
          "+ f R d / D_h",
      .reference = "own section, upwind density",
      .reversed = "the same with the other sign",
      .range = "R/D from 0.5; spacing from other fittings above 5 diameters",
      .ranges = {{"radius_ratio", 0.5, 20.0, "is a tighter or wider bend than the law covers"}},
      .band = 0.15,
      .source =
          "Idelchik, Handbook of Hydraulic Resistance, Diagram 6-1; checked against ASHRAE Fundamentals "
          "2005, fittings CR3-1 and CR3-6",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = {{"velocity", Quantity::velocity, "mean velocity"},
                   {"reynolds", Quantity::number, "Reynolds number on the hydraulic diameter"},
                   {"radius_ratio", Quantity::number, "R over diameter or in-plane side; 1 for a corner"}},
      .items = {"bend", "friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>()};
  return kind;
}

}  // namespace corefeed::losses
