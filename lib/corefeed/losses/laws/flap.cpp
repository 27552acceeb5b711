// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { area, loss, reverse_loss };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S coefficient = either_way<S>(local, in[loss], in[reverse_loss]);
    out.item[0] = coefficient * local.head;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
  }
};

}  // namespace

const Kind& flap_kind() {
  static const Kind kind{
      .name = "flap",
      .title = "Flap",
      .meaning = "a check flap: opens with the flow, leaks when the flow pushes it shut",
      .keys = {area_key("area", "A", "open area of the flaps"),
               {.name = "loss",
                .symbol = "K_fwd",
                .meaning = "loss coefficient when open, leaving head included",
                .need = Need::standard,
                .standard = 1.9,
                .lowest = 0.0,
                .spread = {.relative = 0.20},
                .source = "1.5 to 2.5, common practice, no source"},
               {.name = "reverse_loss",
                .symbol = "K_rev",
                .meaning = "loss coefficient when shut",
                .need = Need::standard,
                .standard = 400.0,
                .lowest = 0.0,
                .source = "200 to 1000 (leaky), common practice, no source"}},
      .formula = "dp = K q, K_fwd or K_rev by the direction of the flow, changing within 1 m/s of rest",
      .reference = "own area, upwind density",
      .reversed = "K_rev",
      .range = "open flaps",
      .band = 0.20,
      .source = "closure of ours between two common values",
      .tag = Tag::closure,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"}},
      .items = {"flaps"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.05}}, .velocity = 10.0, .area = 0.05}};
  return kind;
}

}  // namespace corefeed::losses
