// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t { opening_pressure, flow_coefficient };

/// Part of the opening pressure over which the valve begins to lift.
constexpr double soft_share = 0.05;

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S difference = in.pressure_from - in.pressure_to;
    const S beyond = difference - in[opening_pressure];
    const S width = soft_share * in[opening_pressure];
    const S passed = in[flow_coefficient] * rounded_ramp<S>(beyond, width);
    const S before = density_at<S>(in, in.pressure_from, in.temperature_from);
    const S behind = density_at<S>(in, in.pressure_to, in.temperature_to);
    const S flow = in.mass_flow / select<S>(in.forward(), before, behind);
    // A closed valve has no loss that belongs to its flow, but a flow that belongs to its pressure
    // difference: the loss is that difference once the flow is the one that the valve lets through.
    out.item[0] = difference + (flow - passed) / in[flow_coefficient];
    if (out.loss_alone) return;
    out.reported[0] = flow;
    out.reported[1] = difference / in[opening_pressure];
  }
};

}  // namespace

const Kind& relief_valve_kind() {
  static const Kind kind{
      .name = "relief_valve",
      .title = "Relief valve",
      .meaning = "a spring-loaded valve: the relief of a pump, or the bypass around a cooler",
      .carries = Carries::liquid,
      .keys = {{.name = "opening_pressure",
                .symbol = "p_c",
                .quantity = Quantity::pressure_difference,
                .meaning = "pressure difference at which the valve begins to open",
                .lowest = 0.0,
                .above_lowest = true,
                .spread = {.relative = 0.05}},
               {.name = "flow_coefficient",
                .symbol = "k_r",
                .quantity = Quantity::flow_per_pressure,
                .meaning = "volume flow per pressure difference beyond the opening",
                .lowest = 0.0,
                .above_lowest = true,
                .spread = {.relative = 0.20},
                .source = "common practice, no source"}},
      .formula = "Q = k_r max(0, dp - p_c), the corner rounded by a parabola over p_c +- 5 %",
      .reference = "volume flow at the density of the upwind side",
      .reversed = "closed",
      .range = "steady flow; hysteresis of the closing valve is not modelled",
      .band = 0.10,
      .source = "linear spring; corner rounded: closure of ours",
      .tag = Tag::closure,
      .reported = {{"volume_flow", Quantity::volume_flow, "volume flow through the valve"},
                   {"share_of_opening_pressure", Quantity::number,
                    "pressure difference over the opening pressure; open above 1"}},
      .items = {"valve"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"opening_pressure", 4e5}, {"flow_coefficient", 1.667e-9}},
                  .velocity = 1.0,
                  .area = 1.667e-4,
                  .pressure_difference = 5e5}};
  return kind;
}

}  // namespace corefeed::losses
