// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/area_change.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { area, upstream_area, downstream_area, thickness, edge_radius, roughness, loss_factor };

/// Hole area over the area on one side; 0 for a wall of a large space.
template <class S>
S share_of(const Input<S>& in, std::size_t side) {
  if (in.has(side)) return in[area] / in[side];
  // A hole in a plate across a duct: the duct goes on behind it.
  if (side == downstream_area && in.has(upstream_area)) return in[area] / in[upstream_area];
  return S(0.0);
}

/// tau, the part that a jet which does not reattach loses: (2.4 - l/D) 10^-(0.25 + 0.535 (l/D)^8/(0.05 +
/// (l/D)^7)), 0 from l/D = 2.4 on. Idelchik, Diagram 4-15.
template <class S>
S jet_part(const Same<S>& length_ratio) {
  using std::exp;
  using std::pow;
  const S seventh = pow(length_ratio, 7.0);
  const S phi = 0.25 + 0.535 * seventh * length_ratio / (0.05 + seventh);
  const S decay = exp(S(-2.302585092994046 * phi));
  const S rest = larger<S>(S(2.4 - length_ratio), S(0.0));
  return rest * decay;
}

/// An edge of radius r on hole diameter D: its entry coefficient and what it leaves of the separated jet,
/// exp(-8 r/D), within 3 % of Idelchik, Diagram 4-18.
template <class S>
struct Edge {
  S entry;
  S separated;
};

template <class S>
Edge<S> edge_of(const Same<S>& radius_ratio) {
  using std::exp;
  return {rounded_entrance<S>(radius_ratio), exp(S(-8.0 * radius_ratio))};
}

/// One direction on the hole's head: entry from a side of share `before`, passage, leaving into a side of
/// share `behind`.
template <class S>
S passage_loss(const Edge<S>& edge, const Same<S>& before, const Same<S>& behind, const Same<S>& jet) {
  using std::pow;
  // Powers below 1 have no slope where hole and duct are equal; a plate of a millionth is none.
  const S narrowed = larger<S>(S(1.0 - before), S(1e-6));
  const S widened = larger<S>(S(1.0 - behind), S(1e-6));
  const S entry = edge.entry * pow(narrowed, 0.75);
  const S separated = edge.separated * jet * widened * pow(narrowed, 0.375);
  const S loss = entry + separated + widened * widened;
  return loss;
}

/// How slow flow changes a thin hole's loss: the jet contracts less down to Re 400 and is held back by
/// viscosity below 25. Idelchik, Diagram 4-17, over the value at high Reynolds number.
template <class S>
S slow_thin(const Same<S>& reynolds) {
  using std::log;
  static constexpr std::array<std::array<double, 2>, 9> table{{{1.4, 0.52},
                                                               {2.0, 0.70},
                                                               {2.6, 0.676},
                                                               {3.0, 0.676},
                                                               {3.6, 0.736},
                                                               {4.0, 0.805},
                                                               {4.3, 0.883},
                                                               {5.0, 0.912},
                                                               {6.0, 1.0}}};
  const S decades = log(reynolds) / 2.302585092994046;
  const S fast = reynolds / 25.0;
  const S factor = interpolate<S>(table, decades) + 26.0 / (reynolds * (1.0 + fast * fast));
  return factor;
}

/// The same for a hole that guides the jet: 1/Cd grows by (20/Re)(1 + 2.25 l/D). Lichtarowicz, Duggins &
/// Markland 1965, J. Mech. Eng. Sci. 7:210; wall friction included.
template <class S>
S slow_thick(const Same<S>& reynolds, const Same<S>& length_ratio) {
  const S growth = 1.0 + 0.81 * 20.0 / reynolds * (1.0 + 2.25 * length_ratio);
  return growth * growth;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S diameter = equivalent_diameter<S>(in[area]);
    const S reynolds = reynolds_of<S>(in, local, diameter);
    const S length_ratio = in[thickness] / diameter;
    // 0^7 has no derivative by logarithms, which pow takes; a billionth of a diameter is a thin plate.
    const S jet = jet_part<S>(S(length_ratio + 1e-9));
    const S before = share_of<S>(in, upstream_area);
    const S behind = share_of<S>(in, downstream_area);
    const S ahead = passage_loss<S>(edge_of<S>(S(in[edge_radius] / diameter)), before, behind, jet);
    const S back = passage_loss<S>(edge_of<S>(S(0.0)), behind, before, jet);
    // Friction of fast flow alone: in slow flow the factor of a thick hole holds it.
    const S turbulent = larger<S>(reynolds, S(1e4));
    const S friction = darcy_friction<S>(turbulent, S(in[roughness] / diameter)) * length_ratio;
    // A thin hole stops short of guiding the jet at l/D 0.3, a thick one does from 0.8 on.
    const S guided = held_between<S>(S(2.0 * (length_ratio - 0.3)), 0.0, 1.0);
    const S slow = (1.0 - guided) * slow_thin<S>(reynolds) + guided * slow_thick<S>(reynolds, length_ratio);
    const S fast = either_way<S>(local, ahead, back);
    const S coefficient = in[loss_factor] * fast * slow;
    out.item[0] = (coefficient + friction) * local.head;
    const S head_from = before * before * local.head;
    const S head_to = behind * behind * local.head;
    out.item[1] = end_losses<S>(in, head_from, head_to, S(0.0));
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
    out.reported[2] = length_ratio;
  }
};

Key side_key(std::string_view name, std::string_view symbol, std::string_view meaning) {
  Key key = area_key(name, symbol, meaning, 0.01);
  key.need = Need::optional;
  return key;
}

std::vector<Key> keys() {
  return {
      area_key("area", "A_0", "area of the hole", 0.02),
      side_key("upstream_area", "A_1", "area of the duct before the hole; absent: a wall of a large space"),
      side_key("downstream_area", "A_2",
               "area of the duct behind the hole; absent: as before the hole, or a large space"),
      {.name = "thickness",
       .symbol = "l",
       .quantity = units::Quantity::length,
       .meaning = "thickness of the plate, the length of the hole",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0},
      {.name = "edge_radius",
       .symbol = "r",
       .quantity = units::Quantity::length,
       .meaning = "radius of the edge at which forward flow enters the hole",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0},
      roughness_key(),
      loss_factor_key(0.16)};
}

std::string contradiction(const Values& values) {
  for (const std::size_t side : {upstream_area, downstream_area}) {
    if (!values.has(side) || values.number[side] >= values.number[area]) continue;
    return std::string(side == upstream_area ? "upstream_area" : "downstream_area") +
           " is smaller than the hole's area; an orifice narrows the duct: use a step";
  }
  return "";
}

}  // namespace

const Kind& orifice_kind() {
  static const Kind kind{
      .name = "orifice",
      .title = "Orifice",
      .meaning = "a hole in a wall or plate, thin or thick, sharp or rounded",
      .carries = Carries::either,
      .keys = keys(),
      .formula =
          "K = k (1 - f1)^0.75 + e tau (1 - f2)(1 - f1)^0.375 + (1 - f2)^2 + f l/D, e = exp(-8 r/D), k = "
          "0.03 + 0.47 * "
          "10^(-7.7 r/D) (0.5 sharp), tau = (2.4 - l/D) 10^-(0.25 + 0.535 (l/D)^8/(0.05 + (l/D)^7)), f1 and "
          "f2 hole over duct area before and behind; times a table over Re in a thin hole (0.68 at Re 1000), "
          "(1 + 16 (1 + 2.25 l/D)/Re)^2 in a thick one; + the head left "
          "in the duct at an end in a plenum",
      .reference = "area of the hole, upwind density",
      .reversed = "the same from the other side, with a sharp edge there",
      .range = "thickness up to 2.4 diameters; pressure ratio up to 1.05",
      .ranges = {{"thickness_ratio", 0.0, 5.0,
                  "is a duct rather than a hole: use contraction, duct and step"}},
      .band = 0.16,
      .source =
          "Idelchik, Handbook of Hydraulic Resistance, Diagrams 4-15, 4-17, 4-18 and 3-4; thick and slow: "
          "Lichtarowicz, Duggins & Markland 1965, J. Mech. Eng. Sci. 7:210",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity in the hole"},
                   {"reynolds", units::Quantity::number, "Reynolds number of the hole"},
                   {"thickness_ratio", units::Quantity::number, "thickness over diameter of the hole"}},
      .items = {"orifice", "entrance and exit"},
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.002}, {"thickness", 0.0015}}, .velocity = 20.0, .area = 0.002}};
  return kind;
}

}  // namespace corefeed::losses
