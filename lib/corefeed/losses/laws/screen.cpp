// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"
#include "corefeed/losses/plate.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { area, open_fraction, wire_diameter, style, clogging, incidence, loss_factor };
enum Style { mesh, plate, bars };

/// Round-wire mesh at high Reynolds number: 1.3 (1 - f) + (1/f - 1)^2. Idelchik, Diagram 8-6.
template <class S>
S mesh_loss(const Same<S>& open) {
  const S rest = 1.0 / open - 1.0;
  const S loss = 1.3 * (1.0 - open) + rest * rest;
  return loss;
}

/// What the mesh loses more when its wires see slow air: factors over the wire's Reynolds number, and 22/Re
/// below 50. Idelchik, Diagram 8-6. The addition fades at 50 instead of stopping there, and with the last
/// wires of a mesh that is nearly all open, so that the loss never falls while the flow rises.
template <class S>
S slow_mesh(const Same<S>& fast, const Same<S>& reynolds) {
  static constexpr std::array<std::array<double, 2>, 7> factors{
      {{50, 1.44}, {100, 1.24}, {150, 1.13}, {200, 1.08}, {300, 1.03}, {500, 1.01}, {1000, 1.0}}};
  const S ratio = reynolds / 50.0;
  constexpr double few_wires = 0.03;  // K of 1 - f = 0.022
  const S wires = smaller<S>(S(fast / few_wires), S(1.0));
  const S slow = 22.0 / (reynolds * (1.0 + ratio * ratio)) * wires;
  const S loss = fast * interpolate<S>(factors, reynolds) + slow;
  return loss;
}

/// A screen across the duct at an angle loses less on the approach head: cos^2 of the angle up to 45 degrees,
/// less of a gain beyond. After Blevins, Applied Fluid Dynamics Handbook, 1984, ch. 11.
template <class S>
S inclined_factor(const Same<S>& incidence) {
  using std::cos;
  constexpr double degree = 3.14159265358979323846 / 180.0;
  static constexpr std::array<std::array<double, 2>, 6> growth{{{45 * degree, 1.0},
                                                                {50 * degree, 1.09},
                                                                {60 * degree, 1.20},
                                                                {70 * degree, 1.97},
                                                                {80 * degree, 4.97},
                                                                {85 * degree, 11.8}}};
  const S cosine = cos(incidence);
  return cosine * cosine * interpolate<S>(growth, incidence);
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S open = in[open_fraction] * (1.0 - in[clogging]);
    const int kind = in.choice(style);
    S wire_reynolds(0.0);
    S loss(0.0);
    if (kind == mesh) {
      // Air passes the wires at the speed in the open area.
      const S passing = reynolds_of<S>(in, local, in[wire_diameter]) / in[open_fraction];
      wire_reynolds = in.has(wire_diameter) ? passing : S(0.0);
      const S fast = mesh_loss<S>(open);
      loss = in.has(wire_diameter) ? slow_mesh<S>(fast, passing) : fast;
    } else {
      // Round bars lose 0.6 of what sharp edges lose: Idelchik, ch. 8, from memory.
      loss = (kind == bars ? 0.6 : 1.0) * plate_loss<S>(open);
    }
    const S coefficient = in[loss_factor] * loss * inclined_factor<S>(in[incidence]);
    out.item[0] = coefficient * local.head;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = coefficient;
    out.reported[2] = wire_reynolds;
  }
};

std::vector<Key> keys() {
  return {
      area_key("area", "A", "area of the duct or opening that the screen spans", 0.01),
      {.name = "open_fraction",
       .symbol = "f",
       .meaning = "open share of the clean screen",
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true,
       .spread = {.relative = 0.03},
       .source = "measured screens, common practice, no source"},
      {.name = "wire_diameter",
       .symbol = "d",
       .quantity = units::Quantity::length,
       .meaning = "diameter of a mesh's wires; without it the mesh loses as in fast air",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "style",
       .meaning = "mesh of round wires, perforated plate with sharp edges, or rounded bars",
       .need = Need::standard,
       .standard = 0,
       .choices = {"mesh", "plate", "bars"}},
      {.name = "clogging",
       .symbol = "c",
       .meaning = "share of the open area that dirt has closed: 0 clean, 0.15 after a dirty event",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0,
       .highest = 0.95},
      {.name = "incidence",
       .symbol = "i",
       .quantity = units::Quantity::angle,
       .meaning = "angle between the arriving air and the screen's normal; `area` is then that of the duct",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0,
       .highest = 1.4835298641951802},
      loss_factor_key(0.15)};
}

}  // namespace

const Kind& screen_kind() {
  static const Kind kind{
      .name = "screen",
      .title = "Screen",
      .meaning = "a stone guard, mesh, grille or perforated plate across a duct or opening",
      .keys = keys(),
      .formula =
          "mesh: K = 1.3 (1 - f) + (1/f - 1)^2, more below a wire Reynolds number of 1000 (1.44 times at 50, "
          "+ 22/Re below); plate: K = (0.707 sqrt(1 - f) + 1 - f)^2 / f^2; bars: 0.6 of the plate; "
          "f = open fraction (1 - clogging); at an angle about cos^2 i of that, by a table",
      .reference = "area spanned, upwind density",
      .reversed = "the same with the other sign",
      .range = "open fraction from 0.05; a mesh also evens out the flow behind it, which is not counted",
      .ranges = {{"open_fraction", 0.05, 1.0, "is a tighter screen than was tested"}},
      .band = 0.15,
      .source =
          "Idelchik, Handbook of Hydraulic Resistance, Diagrams 8-1 and 8-6; inclined: Blevins, Applied "
          "Fluid Dynamics "
          "Handbook, 1984",
      .tag = Tag::from_memory,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity on the area spanned"},
                   {"loss_coefficient", units::Quantity::number, "K on the area spanned"},
                   {"wire_reynolds", units::Quantity::number,
                    "Reynolds number of the wires; 0 where their diameter is not known"}},
      .items = {"screen"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.04}, {"open_fraction", 0.7}}, .velocity = 12.0, .area = 0.04}};
  return kind;
}

}  // namespace corefeed::losses
