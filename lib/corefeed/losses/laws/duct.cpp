// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { length, area, hydraulic_diameter, roughness, entrance_loss, loss_factor };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = mean_state<S>(in, in[area]);
    const S reynolds = reynolds_of<S>(in, local, in[hydraulic_diameter]);
    const S rough = in[roughness] / in[hydraulic_diameter];
    const S factor = darcy_friction<S>(reynolds, rough);
    const S friction = in[loss_factor] * factor * in[length] / in[hydraulic_diameter] * local.head;
    out.item[0] = friction;
    const Local<S> entry = upwind<S>(in, in[area]);
    out.item[1] = end_losses<S>(in, entry.head, entry.head, in[entrance_loss]);
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
  }
};

}  // namespace

const Kind& duct_kind() {
  static const Kind kind{
      .name = "duct",
      .title = "Straight duct",
      .meaning = "a straight duct of constant section",
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
               roughness_key(),
               entrance_loss_key(),
               loss_factor_key(0.03)},
      .formula =
          "dp = f L / D_h * q, with f by Churchill for every Reynolds number; + K_in q at an entrance "
          "from a plenum, + q at an end in a plenum",
      .reference = "own section, mean density",
      .reversed = "the same with the other sign",
      .range = "every Reynolds number; D_h serves non-circular sections within 5 % when turbulent",
      .ranges = {{"reynolds", 0.0, 1e8, "is beyond the friction law's range"}},
      .band = 0.03,
      .source = "Churchill 1977, Chem. Eng. 84(24):91",
      .tag = Tag::read,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"},
                   {"reynolds", units::Quantity::number, "Reynolds number on the hydraulic diameter"}},
      .items = {"friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>()};
  return kind;
}

}  // namespace corefeed::losses
