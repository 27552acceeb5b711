// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/bore.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/liquid_core.hpp"

namespace corefeed::losses {
namespace {

using namespace liquid_cooler;
using units::Quantity;

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S area = circle_area<S>(in[bore]);
    const Local<S> local = upwind<S>(in, area);
    out.item[0] = in[loss] * local.head;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = in.mass_flow / local.density;
  }
};

std::vector<Key> keys() {
  return {
      {.name = "other_side",
       .meaning = "the element of the other loop that is this cooler's other side; one of the two names it",
       .need = Need::optional,
       .refers = Refers::cooler},
      bore_key("inner diameter of the ports", 0.01),
      {.name = "loss",
       .symbol = "K",
       .meaning = "loss coefficient of this side on the head in the ports",
       .lowest = 0.0,
       .spread = {.relative = 0.15},
       .source = "common practice, no source"},
      {.name = "conductance.value",
       .symbol = "hA",
       .quantity = Quantity::conductance,
       .meaning = "heat conductance of this side",
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "conductance.flow",
       .symbol = "m_0",
       .quantity = Quantity::mass_flow,
       .meaning = "mass flow at which the conductance holds",
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "conductance.exponent",
       .symbol = "n",
       .meaning = "exponent of the conductance over mass flow",
       .need = Need::standard,
       .standard = 0.7,
       .lowest = 0.0,
       .highest = 1.0,
       .source = "plates with turbulent water 0.7, slow oil 0.35; common practice, no source"},
      {.name = "arrangement",
       .meaning = "how the two liquids run; where both sides tell it, that of the side which names the other",
       .need = Need::standard,
       .standard = 0,
       .choices = {"counterflow", "parallel_flow", "crossflow_both_unmixed"}},
      {.name = "heat_transfer",
       .symbol = "F_UA",
       .meaning = "factor on the conductance of this side, to fit a test of one's own",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 5.0,
       .above_lowest = true,
       .spread = {.relative = 0.12},
       .source = "tested conductances, common practice, no source",
       .coefficient = true}};
}

}  // namespace

const Kind& liquid_cooler_kind() {
  static const Kind kind{
      .name = "liquid_cooler",
      .title = "Cooler between two liquids",
      .meaning = "one side of a cooler in which a loop gives heat to another, such as oil to water",
      .carries = Carries::liquid,
      .keys = keys(),
      .formula = "dp = K q; 1/UA = the sum over both sides of 1/[F_UA hA (m/m_0)^n], effectiveness by NTU",
      .reference = "ports' bore, upwind density",
      .reversed = "the same with the other sign",
      .range = "flows of the test",
      .band = 0.15,
      .source = "Kays & London, Compact Heat Exchangers, 1984",
      .tag = Tag::read,
      .reported = {{"velocity", Quantity::velocity, "mean velocity in the ports"},
                   {"volume_flow", Quantity::volume_flow, "volume flow"}},
      .items = {"cooler"},
      .heated = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"bore", 0.016}, {"loss", 8.0}}, .velocity = 2.0, .area = 0.000201062}};
  return kind;
}

}  // namespace corefeed::losses
