// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { area, loss };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    const S lost = in[loss] * local.head;
    out.item[0] = lost;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
  }
};

}  // namespace

const Kind& loss_kind() {
  static const Kind kind{
      .name = "loss",
      .title = "Plain loss",
      .meaning = "anything whose loss coefficient is known",
      .carries = Carries::either,
      .keys = {area_key("area", "A", "area on whose dynamic head the coefficient stands", 0.01),
               {.name = "loss",
                .symbol = "K",
                .meaning = "loss coefficient on the element's own dynamic head",
                .lowest = 0.0,
                .spread = {.relative = 0.10},
                .source = "common practice, no source"}},
      .formula = "dp = K q",
      .reference = "own area, upwind density",
      .reversed = "the same with the other sign",
      .range = "as the coefficient's source says",
      .band = 0.10,
      .source = "definition of a loss coefficient",
      .tag = Tag::computed,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"}},
      .items = {"loss"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.02}, {"loss", 1.5}}, .velocity = 15.0, .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
