// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { area, discharge_coefficient, edge, gap, length, depth };
enum Edge { seal, sharp };

/// A plane slot with thin sharp edges: the jet contracts to pi/(pi + 2) of it (Kirchhoff 1869), and its head
/// is lost.
inline constexpr double sharp_contraction = 3.14159265358979323846 / (3.14159265358979323846 + 2.0);

/// A seal gap as a plane slot: 1.5 q at the ends and the friction of two walls, 96/Re when laminar.
template <class S>
S slot_loss(const Input<S>& in, const Local<S>& local) {
  const S diameter = 2.0 * in[gap];
  const S reynolds = reynolds_of<S>(in, local, diameter);
  const S factor = darcy_friction<S>(reynolds, S(0.0), S(96.0));
  const S coefficient = 1.5 + factor * in[depth] / diameter;
  return coefficient * local.head;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const bool slot = in.has(gap);
    const S open = slot ? S(in[gap] * in[length]) : in[area];
    const Local<S> local = upwind<S>(in, open);
    if (slot) {
      out.item[0] = slot_loss<S>(in, local);
    } else {
      const S discharge = in.choice(edge) == sharp ? S(sharp_contraction) : in[discharge_coefficient];
      const S squared = discharge * discharge;
      out.item[0] = local.head / squared;
    }
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
  }
};

}  // namespace

const Kind& leak_kind() {
  static const Kind kind{
      .name = "leak",
      .title = "Leak",
      .meaning = "air that slips past a core through a seal gap or a hole",
      .keys =
          {{.name = "area",
            .symbol = "A",
            .quantity = units::Quantity::area,
            .meaning = "open area of the leak",
            .need = Need::optional,
            .lowest = 0.0,
            .above_lowest = true,
            .spread = {.relative = 0.30},
            .source = "common practice, no source"},
           {.name = "discharge_coefficient",
            .symbol = "Cd",
            .meaning = "discharge coefficient on the open area",
            .need = Need::standard,
            .standard = 0.65,
            .lowest = 0.0,
            .highest = 1.0,
            .above_lowest = true,
            .spread = {.relative = 0.15},
            .source = "sharp-edged gap: 0.61 (Kirchhoff) to 0.70",
            .tag = Tag::from_memory},
           {.name = "edge",
            .meaning =
                "what the leak's edge is: a seal or bent flange, for which discharge_coefficient holds, or "
                "sharp, a thin sharp slot: 0.611",
            .need = Need::standard,
            .standard = 0,
            .choices = {"seal", "sharp"}},
           {.name = "gap",
            .symbol = "g",
            .quantity = units::Quantity::length,
            .meaning = "width of the gap",
            .need = Need::optional,
            .lowest = 0.0,
            .above_lowest = true,
            .spread = {.relative = 0.30}},
           {.name = "length",
            .symbol = "w",
            .quantity = units::Quantity::length,
            .meaning = "length of the gap along the rim",
            .need = Need::optional,
            .lowest = 0.0,
            .above_lowest = true},
           {.name = "depth",
            .symbol = "l",
            .quantity = units::Quantity::length,
            .meaning = "depth of the gap along the flow",
            .need = Need::standard,
            .standard = 0.0,
            .lowest = 0.0}},
      .rules = {{Rule::Kind::exactly_one, {"area", "gap"}},
                {Rule::Kind::at_most_one, {"discharge_coefficient", "edge"}},
                {Rule::Kind::at_most_one, {"edge", "gap"}},
                {Rule::Kind::needs, {"gap", "length"}},
                {Rule::Kind::needs, {"length", "gap"}}},
      .formula =
          "dp = q / Cd^2 (sharp slot: Cd = pi/(pi + 2)), or for a gap dp = (1.5 + f l / (2 g)) q with f = "
          "96/Re when laminar",
      .reference = "open area (gap times length), upwind density",
      .reversed = "the same with the other sign",
      .range = "gap: every Reynolds number",
      .band = 0.15,
      .source =
          "Kirchhoff 1869 for the contraction; slot friction Churchill 1977 with the plane slot's 96/Re",
      .tag = Tag::computed,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity in the open area"}},
      .items = {"leak"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.003}}, .velocity = 20.0, .area = 0.003}};
  return kind;
}

}  // namespace corefeed::losses
