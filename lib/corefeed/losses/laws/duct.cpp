// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t {
  length,
  area,
  hydraulic_diameter,
  section,
  aspect,
  profile,
  roughness,
  wall,
  entrance_loss,
  opposite_mouth,
  loss_factor
};
enum Section { round_section, rectangle, annulus, triangle };
enum Profile { developed, uniform };

/// What starts from a uniform profile loses more while the profile develops: 1.2 laminar, 0.1 turbulent, on
/// the dynamic head. From memory; between the two no faster than 1/V^2, so that the loss never falls while
/// the flow rises.
template <class S>
S development_loss(const Same<S>& reynolds) {
  const S fast = reynolds / 2100.0;
  const S loss = 0.1 + 1.1 / (1.0 + fast * fast);
  return loss;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = mean_state<S>(in, in[area]);
    const S reynolds = reynolds_of<S>(in, local, in[hydraulic_diameter]);
    const S rough = relative_roughness<S>(in, roughness, wall, in[hydraulic_diameter]);
    const S factor = darcy_friction<S>(reynolds, rough, laminar_product<S>(in));
    const S starting = in.choice(profile) == uniform ? development_loss<S>(reynolds) : S(0.0);
    const S friction = factor * in[length] / in[hydraulic_diameter] + starting;
    out.item[0] = in[loss_factor] * friction * local.head;
    const Local<S> entry = upwind<S>(in, in[area]);
    out.item[1] = end_losses<S>(in, entry.head, entry.head, in[entrance_loss],
                                jet_lost<S>(in, opposite_mouth, in[area]));
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
    out.reported[2] = factor;
  }

  /// f Re of the section's developed laminar flow.
  template <class S>
  static S laminar_product(const Input<S>& in) {
    switch (in.choice(section)) {
      case rectangle:
        return rectangle_laminar<S>(in[aspect]);
      case annulus:
        return annulus_laminar<S>(in[aspect]);
      case triangle:
        return S(160.0 / 3.0);
      default:
        return S(64.0);
    }
  }
};

}  // namespace

const Kind& duct_kind() {
  static const Kind kind{
      .name = "duct",
      .title = "Straight duct",
      .meaning = "a straight duct of constant section",
      .carries = Carries::either,
      .keys = {{.name = "length",
                .symbol = "L",
                .quantity = units::Quantity::length,
                .meaning = "length of the duct",
                .lowest = 0.0},
               area_key("area", "A", "area of the section", 0.01),
               {.name = "hydraulic_diameter",
                .symbol = "D_h",
                .quantity = units::Quantity::length,
                .meaning = "4 area / wetted perimeter",
                .lowest = 0.0,
                .above_lowest = true},
               {.name = "section",
                .meaning = "form of the section: sets the friction of slow, laminar flow",
                .need = Need::standard,
                .standard = 0,
                .choices = {"round", "rectangle", "annulus", "triangle"}},
               {.name = "aspect",
                .symbol = "a",
                .meaning = "short over long side of a rectangle, inner over outer radius of an annulus",
                .need = Need::standard,
                .standard = 1.0,
                .lowest = 0.0,
                .highest = 1.0},
               {.name = "profile",
                .meaning = "velocity profile at the start: developed, or uniform as behind a bellmouth",
                .need = Need::standard,
                .standard = 0,
                .choices = {"developed", "uniform"}},
               roughness_key(),
               wall_key(),
               entrance_loss_key(),
               opposite_mouth_key(),
               loss_factor_key(0.03)},
      .rules = {one_roughness()},
      .formula =
          "dp = f L / D_h * q, with f by Churchill for every Reynolds number, in laminar flow f Re of the "
          "section (64 round, 56.9 square, 96 slot); from a uniform profile + 0.1 q (1.2 q laminar); + K_in "
          "q "
          "at an entrance from a plenum, + q at an end in a plenum",
      .reference = "own section, mean density",
      .reversed = "the same with the other sign",
      .range = "every Reynolds number; D_h serves non-circular sections within 5 % when turbulent",
      .ranges = {{"reynolds", 0.0, 1e8, "is beyond the friction law's range"}},
      .band = 0.03,
      .source =
          "Churchill 1977, Chem. Eng. 84(24):91; laminar: Shah & London, Laminar Flow Forced Convection in "
          "Ducts, 1978",
      .tag = Tag::read,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"},
                   {"reynolds", units::Quantity::number, "Reynolds number on the hydraulic diameter"},
                   {"friction_factor", units::Quantity::number, "Darcy friction factor f"}},
      .items = {"friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"length", 1.0}, {"area", 0.02}, {"hydraulic_diameter", 0.16}},
                  .velocity = 15.0,
                  .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
