// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

/// What centrifugal and displacement pumps have in common: what drives them, what they need at their inlet,
/// what they draw.
namespace corefeed::losses::pump {

inline Key shaft_speed_key() {
  return {.name = "shaft_speed",
          .symbol = "n",
          .quantity = units::Quantity::shaft_speed,
          .meaning = "shaft speed of a pump that the engine does not drive",
          .need = Need::optional,
          .lowest = 0.0};
}

inline Key speed_ratio_key() {
  return {.name = "speed_ratio",
          .symbol = "i",
          .meaning = "shaft speed over engine speed; the operating points then give `engine_speed`",
          .need = Need::optional,
          .lowest = 0.0,
          .highest = 10.0,
          .above_lowest = true};
}

inline Key suction_limit_key() {
  return {.name = "suction_limit",
          .symbol = "p_s",
          .quantity = units::Quantity::pressure_difference,
          .meaning =
              "pressure above the liquid's vapor pressure that the pump needs at its inlet; below it the "
              "pump gives in proportion less, and the result carries a warning",
          .need = Need::optional,
          .lowest = 0.0,
          .above_lowest = true,
          .spread = {.relative = 0.25},
          .source = "common practice, no source"};
}

/// rad/s; `fallback` is the speed of the test, for a pump that names none.
template <class S>
S shaft_speed_of(const Input<S>& in, std::size_t shaft_speed, std::size_t speed_ratio,
                 const Same<S>& fallback) {
  if (in.has(shaft_speed)) return in[shaft_speed];
  if (in.has(speed_ratio)) return S(in[speed_ratio] * in.outside->engine_speed);
  return fallback;
}

/// Vapor pressure of what the pump takes in, Pa absolute; 0 where it is not known.
inline double vapor_pressure(const fluids::Liquid& liquid, double temperature) {
  return liquid.kind() == fluids::Liquid::Kind::constant ? 0.0 : liquid.vapor_pressure(temperature);
}
inline Dual vapor_pressure(const fluids::Liquid& liquid, const Dual& temperature) {
  if (liquid.kind() == fluids::Liquid::Kind::constant) return Dual(0.0);
  return Dual(liquid.vapor_pressure(temperature.value()),
              liquid.vapor_pressure_slope(temperature.value()) * temperature.derivatives());
}

/// Pressure at the inlet above that of the vapor, Pa.
template <class S>
S suction_pressure(const Input<S>& in) {
  const S absolute = in.pressure_from + in.outside->pressure;
  if (in.liquid == nullptr) return absolute;
  const S vapor = vapor_pressure(*in.liquid, held_temperature<S>(in.temperature_from));
  const S rest = absolute - vapor;
  return rest;
}

/// What is left of the pump beyond its suction limit: the share of the pressure that it has of what it needs,
/// a twentieth at least so that a trial state of the solver finds its way back.
template <class S>
S filling(const Input<S>& in, std::size_t suction_limit) {
  if (!in.has(suction_limit)) return S(1.0);
  return held_between<S>(S(suction_pressure<S>(in) / in[suction_limit]), 0.05, 1.0);
}

/// What the inlet has beyond the need, Pa: negative where the pump cavitates. Without a limit of its own the
/// need is 0.
template <class S>
S suction_margin(const Input<S>& in, std::size_t suction_limit) {
  const S rest = suction_pressure<S>(in);
  return in.has(suction_limit) ? S(rest - in[suction_limit]) : rest;
}

/// m3/s at the density of the side it comes from.
template <class S>
S volume_flow(const Input<S>& in) {
  const S before = density_at<S>(in, in.pressure_from, in.temperature_from);
  const S behind = density_at<S>(in, in.pressure_to, in.temperature_to);
  const S flow = in.mass_flow / select<S>(in.forward(), before, behind);
  return flow;
}

inline std::vector<Reported> reported() {
  return {{"volume_flow", units::Quantity::volume_flow, "volume flow through the pump"},
          {"power", units::Quantity::power, "shaft power"},
          {"suction_margin", units::Quantity::pressure_difference,
           "pressure at the inlet above vapor pressure and suction limit"},
          {"speed", units::Quantity::shaft_speed, "shaft speed at this point"}};
}

}  // namespace corefeed::losses::pump
