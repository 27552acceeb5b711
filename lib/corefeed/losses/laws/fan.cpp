// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t {
  area,
  shutoff_pressure,
  free_flow,
  density,
  shaft_speed,
  speed,
  windmill_loss,
  stopped_loss,
  removed_loss,
  efficiency
};

/// Density at the blades: of the side the air comes from, changing over smoothly where the flow turns round.
/// A running fan makes pressure at rest, and between cold and hot air that pressure would jump.
template <class S>
S blade_density(const Input<S>& in, const Local<S>& local) {
  const S onward = forward_share<S>(local);
  const S before = local_state<S>(in, in[area], in.pressure_from, in.temperature_from).density;
  const S behind = local_state<S>(in, in[area], in.pressure_to, in.temperature_to).density;
  return onward * before + (1.0 - onward) * behind;
}

/// Pressure rise of the running fan, Pa: the parabola through shut-off and free flow, scaled by the affinity
/// laws; windmilling takes over where the curve would fall below it.
template <class S>
S running_loss(const Input<S>& in, const Local<S>& local) {
  const S flow = in.mass_flow / local.density;
  const S magnitude = rounded_magnitude<S>(flow, 1e-6);
  const S ratio = in.has(speed) ? S(in[speed] / in[shaft_speed]) : S(1.0);
  const S still = in[shutoff_pressure] * ratio * ratio;
  const S fall = in[shutoff_pressure] / (in[free_flow] * in[free_flow]);
  const S rise = blade_density<S>(in, local) / in[density] * (still - fall * flow * magnitude);
  const S windmill = in[windmill_loss] * local.head;
  const S driven = -rise;
  return select<S>(in.forward(), smaller<S>(driven, windmill), driven);
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    switch (in.fan_state) {
      case FanState::on:
        out.item[0] = running_loss<S>(in, local);
        break;
      case FanState::freewheeling:
        out.item[0] = in[windmill_loss] * local.head;
        break;
      case FanState::stopped:
        out.item[0] = in[stopped_loss] * local.head;
        break;
      case FanState::removed:
        out.item[0] = in[removed_loss] * local.head;
        break;
    }
    out.reported[0] = local.velocity;
    const S flow = in.mass_flow / local.density;
    const S air_power = -out.item[0] * flow;
    const bool drawing = in.fan_state == FanState::on;
    out.reported[1] = drawing ? S(air_power / in[efficiency]) : S(0.0);
  }
};

}  // namespace

const Kind& fan_kind() {
  static const Kind kind{
      .name = "fan",
      .title = "Fan",
      .meaning = "an axial fan in its ring, running, freewheeling, stopped or taken out",
      .keys = {area_key("area", "A", "annulus swept by the blades"),
               {.name = "curve.shutoff_pressure",
                .symbol = "dp_0",
                .quantity = units::Quantity::pressure_difference,
                .meaning = "pressure rise at zero flow in the test",
                .lowest = 0.0,
                .above_lowest = true,
                .spread = {.relative = 0.05},
                .source = "common practice, no source"},
               {.name = "curve.free_flow",
                .symbol = "Q_0",
                .quantity = units::Quantity::volume_flow,
                .meaning = "volume flow at zero pressure rise in the test",
                .lowest = 0.0,
                .above_lowest = true},
               {.name = "curve.density",
                .symbol = "rho_t",
                .quantity = units::Quantity::density,
                .meaning = "density of the test",
                .need = Need::standard,
                .standard = 1.2,
                .lowest = 0.0,
                .above_lowest = true,
                .source = "standard air of fan tests: 1.2 kg/m3, ISO 5801",
                .tag = Tag::from_memory},
               {.name = "curve.shaft_speed",
                .symbol = "n_t",
                .quantity = units::Quantity::shaft_speed,
                .meaning = "shaft speed of the test",
                .need = Need::optional,
                .lowest = 0.0,
                .above_lowest = true},
               {.name = "shaft_speed",
                .symbol = "n",
                .quantity = units::Quantity::shaft_speed,
                .meaning = "shaft speed when on; the test's if absent",
                .need = Need::optional,
                .lowest = 0.0,
                .above_lowest = true},
               {.name = "windmill_loss",
                .symbol = "K_w",
                .meaning = "loss coefficient when freewheeling, leaving head included",
                .need = Need::standard,
                .standard = 1.1,
                .lowest = 0.0,
                .spread = {.relative = 0.40},
                .source = "closure of ours; no published value found",
                .tag = Tag::closure},
               {.name = "stopped_loss",
                .symbol = "K_st",
                .meaning = "loss coefficient when the wheel is locked, leaving head included",
                .need = Need::standard,
                .standard = 5.0,
                .lowest = 0.0,
                .spread = {.relative = 0.40},
                .source = "3 (open, 4 to 6 blades) to 8 (close pitch); no published value found",
                .tag = Tag::closure},
               {.name = "removed_loss",
                .symbol = "K_ring",
                .meaning = "loss coefficient of the empty ring: the leaving head",
                .need = Need::standard,
                .standard = 1.0,
                .lowest = 0.0,
                .source = "leaving head dumped: definition",
                .tag = Tag::computed,
                .coefficient = true},
               {.name = "efficiency",
                .symbol = "eta",
                .meaning = "air power over electrical power, motor included",
                .need = Need::standard,
                .standard = 0.35,
                .lowest = 0.0,
                .highest = 1.0,
                .above_lowest = true,
                .source = "0.25 to 0.40 brushed, 0.40 to 0.55 brushless motor; common practice, no source"}},
      .rules = {{Rule::Kind::needs, {"shaft_speed", "curve.shaft_speed"}}},
      .formula =
          "on: rise = max((rho/rho_t) (dp_0 x^2 - (dp_0/Q_0^2) Q|Q|), -K_w q), x = n/n_t; freewheeling: "
          "dp = K_w q; stopped: dp = K_st q; removed: dp = K_ring q",
      .reference = "annulus, upwind density",
      .reversed = "on: the same curve; else the same coefficient with the other sign",
      .range = "the curve between shut-off and free flow; beyond free flow it is extrapolated as a parabola",
      .band = 0.05,
      .source = "affinity laws; parabola and off states are closures of ours",
      .tag = Tag::closure,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity through the annulus"},
                   {"power", units::Quantity::power, "electrical power drawn"}},
      .items = {"fan"},
      .law = law_of<Formula>()};
  return kind;
}

}  // namespace corefeed::losses
