// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/area_change.hpp"
#include "corefeed/losses/area_change_kind.hpp"

namespace corefeed::losses {
namespace {

using namespace area_change;

/// Narrowing in the direction of the flow; reversed it widens like a sudden expansion.
struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S ratio = in[outlet_area] / in[inlet_area];
    const Local<S> local = upwind<S>(in, in[outlet_area]);
    const S forward = in.has(angle) ? conical_contraction<S>(ratio, in[angle])
                                    : sudden_contraction<S>(ratio, edge_ratio<S>(in, in[outlet_area]));
    finish<S>(in, local, {forward, S(in.has(angle) ? 0.0 : slow_narrowing)},
              {sudden_expansion<S>(ratio), S(slow_widening)}, out);
  }
};

std::string contradiction(const Values& values) {
  if (values.number[outlet_area] <= values.number[inlet_area]) return "";
  return "outlet_area is larger than inlet_area; a contraction narrows: use a diffuser or a step";
}

}  // namespace

const Kind& contraction_kind() {
  static const Kind kind{
      .name = "contraction",
      .title = "Contraction",
      .meaning = "a section that narrows in the direction of the flow",
      .carries = Carries::either,
      .keys = keys(0.10),
      .rules = {{Rule::Kind::at_most_one, {"angle", "edge_radius"}}},
      .formula =
          "sudden: K = (0.03 + 0.47 * 10^(-7.7 r/D)) (1 - A2/A1)^0.75; conical of total angle al: "
          "K = (-0.0125 n^4 + 0.0224 n^3 - 0.00723 n^2 + 0.00444 n - 0.00745)(al^3 - 2 pi al^2 - 10 al), "
          "n = A2/A1; + 160/Re when sudden and slow",
      .reference = "outlet area, upwind density",
      .reversed = "sudden expansion (1 - A2/A1)^2",
      .range = "A2 <= A1; conical: total angle up to 180 degrees",
      .band = 0.10,
      .source = "Idelchik, Handbook of Hydraulic Resistance, Diagrams 3-4, 4-9 and 5-23",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = reported(),
      .items = {"contraction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"inlet_area", 0.04}, {"outlet_area", 0.02}}, .velocity = 15.0, .area = 0.02}};
  return kind;
}

}  // namespace corefeed::losses
