// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t { flow, temperature };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    // Behind a given flow stands whatever pressure drives it: the node's own once the flow is the given one.
    constexpr double stiffness = 1e6;  // Pa s/kg
    out.boundary = in.pressure_to + stiffness * (in[flow] - in.mass_flow);
    if (out.loss_alone) return;
    out.reported[0] = in.mass_flow / density_at<S>(in, in.pressure_to, in.temperature_out);
  }
};

std::string contradiction(const Values& values) {
  if (values.number[flow] < 0.0 || values.has(temperature)) return "";
  return "a supply that brings something needs its temperature";
}

}  // namespace

const Kind& supply_kind() {
  static const Kind kind{
      .name = "supply",
      .title = "Supply",
      .meaning = "a given flow into a node, where the way to it is not modelled; negative takes out",
      .ends = Ends::no_from,
      .carries = Carries::either,
      .keys = {{.name = "flow",
                .symbol = "m",
                .quantity = Quantity::mass_flow,
                .meaning = "mass flow into the node; negative takes out",
                .spread = {.relative = 0.03},
                .source = "common practice, no source"},
               {.name = "temperature",
                .symbol = "T",
                .quantity = Quantity::temperature,
                .meaning = "temperature of what it brings",
                .need = Need::optional,
                .lowest = 233.15,
                .highest = 473.15}},
      .formula = "m as given, whatever the pressure",
      .reference = "mass flow",
      .reversed = "takes out what arrives, as hot as the node",
      .range = "any",
      .band = 0.03,
      .source = "definition",
      .tag = Tag::computed,
      .contradiction = &contradiction,
      .reported = {{"volume_flow", Quantity::volume_flow, "volume flow"}},
      .items = {"supply"},
      .heated = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"flow", 0.5}, {"temperature", 363.15}}, .velocity = 1.0, .area = 0.0005}};
  return kind;
}

}  // namespace corefeed::losses
