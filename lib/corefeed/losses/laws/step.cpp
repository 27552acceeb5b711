// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/area_change.hpp"
#include "corefeed/losses/area_change_kind.hpp"

namespace corefeed::losses {
namespace {

using namespace area_change;

/// A sudden change either way: each direction is the other's opposite on the same smaller section.
struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S small_area = smaller<S>(in[inlet_area], in[outlet_area]);
    const S ratio = small_area / larger<S>(in[inlet_area], in[outlet_area]);
    const S narrowing = in.has(angle) ? conical_contraction<S>(ratio, in[angle])
                                      : sudden_contraction<S>(ratio, edge_ratio<S>(in, small_area));
    const Direction<S> contraction{narrowing, S(in.has(angle) ? 0.0 : slow_narrowing)};
    const Direction<S> expansion{sudden_expansion<S>(ratio), S(slow_widening)};
    const Mask<S> widens = at_least<S>(in[outlet_area], in[inlet_area]);
    const Local<S> local = upwind<S>(in, small_area);
    finish<S>(in, local, chosen<S>(widens, expansion, contraction), chosen<S>(widens, contraction, expansion),
              out);
  }
};

}  // namespace

const Kind& step_kind() {
  static const Kind kind{
      .name = "step",
      .title = "Step",
      .meaning = "a sudden change of area, wider or narrower",
      .carries = Carries::either,
      .keys = keys(0.10),
      .rules = {{Rule::Kind::at_most_one, {"angle", "edge_radius"}}},
      .formula =
          "wider: K = (1 - A1/A2)^2 (Borda-Carnot); narrower: K = (0.03 + 0.47 * 10^(-7.7 r/D)) "
          "(1 - A2/A1)^0.75; + 160/Re when slow",
      .reference = "smaller area, upwind density",
      .reversed = "the opposite change on the same section",
      .range = "uniform profile ahead of the step; a distorted one loses up to 10 % more",
      .band = 0.10,
      .source =
          "momentum balance (Borda, Carnot); Idelchik, Handbook of Hydraulic Resistance, Diagrams 3-4, 4-9",
      .tag = Tag::computed,
      .reported = reported(),
      .items = {"step", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"inlet_area", 0.02}, {"outlet_area", 0.04}}, .velocity = 15.0, .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
