// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/bore.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { length, bore, roughness, wall, entrance_loss, opposite_mouth, loss_factor };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S area = circle_area<S>(in[bore]);
    const Local<S> local = mean_state<S>(in, area);
    const S reynolds = reynolds_of<S>(in, local, in[bore]);
    const S factor = darcy_friction<S>(reynolds, relative_roughness<S>(in, roughness, wall, in[bore]));
    out.item[0] = in[loss_factor] * factor * in[length] / in[bore] * local.head;
    const Local<S> entry = upwind<S>(in, area);
    out.item[1] =
        end_losses<S>(in, entry.head, entry.head, in[entrance_loss], jet_lost<S>(in, opposite_mouth, area));
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
  }
};

std::vector<Key> keys() {
  return {{.name = "length",
           .symbol = "L",
           .quantity = units::Quantity::length,
           .meaning = "length of the hose",
           .lowest = 0.0},
          bore_key("inner diameter", 0.01),
          roughness_key(),
          wall_key(),
          entrance_loss_key(),
          opposite_mouth_key(),
          loss_factor_key(0.03)};
}

}  // namespace

const Kind& hose_kind() {
  static const Kind kind{
      .name = "hose",
      .title = "Hose",
      .meaning = "a round hose or pipe of air or liquid; each bend and end fitting is an element of its own",
      .carries = Carries::either,
      .keys = keys(),
      .rules = {one_roughness()},
      .formula =
          "dp = f L / D * q, with f by Churchill for every Reynolds number; + K_in q at an entrance from a "
          "plenum, + q at an end in a plenum",
      .reference = "bore, mean density",
      .reversed = "the same with the other sign",
      .range = "every Reynolds number; a wire-wound hose is known to 50 %",
      .ranges = {{"reynolds", 0.0, 1e8, "is beyond the friction law's range"}},
      .band = 0.03,
      .source = "Churchill 1977, Chem. Eng. 84(24):91",
      .tag = Tag::read,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"},
                   {"reynolds", units::Quantity::number, "Reynolds number on the bore"}},
      .items = {"friction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"length", 1.5}, {"bore", 0.063}}, .velocity = 15.0, .area = 0.003117}};
  return kind;
}

}  // namespace corefeed::losses
