// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "corefeed/losses/close_coupled.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"
#include "corefeed/losses/plate.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t {
  area,
  shutoff_pressure,
  free_flow,
  points,
  pressure,
  density,
  shaft_speed,
  test_voltage,
  speed,
  supply_voltage,
  windmill_loss,
  stopped_loss,
  blade_blockage,
  removed_loss,
  efficiency,
  tip_clearance,
  upstream_fitting,
  upstream_distance
};
enum Pressure { total, static_pressure };

const CurveForm& form() {
  static const CurveForm one{
      .abscissas = {{"volume_flow", units::Quantity::air_flow, "volume flow in the test"}},
      .ordinate = {"pressure_rise", units::Quantity::pressure_difference, "pressure rise in the test"},
      .least_points = 3};
  return one;
}

/// Density at the blades: of the side the air comes from, changing over smoothly where the flow turns round.
/// A running fan makes pressure at rest, and between cold and hot air that pressure would jump.
template <class S>
S blade_density(const Input<S>& in, const Local<S>& local) {
  const S onward = forward_share<S>(local);
  const S before = local_state<S>(in, in[area], in.pressure_from, in.temperature_from).density;
  const S behind = local_state<S>(in, in[area], in.pressure_to, in.temperature_to).density;
  return onward * before + (1.0 - onward) * behind;
}

/// n/n_t: of the shaft, or by the voltage at the motor, n ~ U^0.9 of a permanent-magnet motor near its load
/// (closure of ours).
template <class S>
S speed_ratio(const Input<S>& in) {
  if (in.has(supply_voltage)) return power<S>(S(in[supply_voltage] / in[test_voltage]), S(0.9));
  return in.has(speed) ? S(in[speed] / in[shaft_speed]) : S(1.0);
}

/// A gap between tips and ring of more than 1 % of the diameter takes a tenth of the pressure (closure of
/// ours).
template <class S>
S tip_factor(const Input<S>& in) {
  if (!in.has(tip_clearance)) return S(1.0);
  const S wide = in[tip_clearance] / equivalent_diameter<S>(in[area]);
  return select<S>(above<S>(wide, S(0.01)), S(0.9), S(1.0));
}

/// The tested curve, Pa, over the flow at the test's shaft speed. A flow against the fan meets a parabola;
/// beyond the last point the curve goes on falling at least as steeply as from its top to free flow.
template <class S>
S tested_rise(const Curve& curve, const Same<S>& flow) {
  const double first = curve.first();
  const double last = curve.last();
  const double top = *std::max_element(curve.y().begin(), curve.y().end());
  const double steep = std::max(-curve.slope(last), top / last);
  const S inside = curve_at(curve, held_between<S>(flow, first, last));
  const S against = smaller<S>(S(flow - first), S(0.0));
  const S beyond = larger<S>(S(flow - last), S(0.0));
  const double start = std::min(curve.slope(first), 0.0);
  const S rise = inside + start * against + top / (last * last) * against * against - steep * beyond;
  return rise;
}

/// Pressure rise at the test's density and shaft speed, Pa: the points, or the parabola through shut-off and
/// free flow.
template <class S>
S curve_rise(const Input<S>& in, const Same<S>& flow) {
  if (in.has(points)) return tested_rise<S>(in.curve(points), flow);
  const S fall = in[shutoff_pressure] / (in[free_flow] * in[free_flow]);
  const S magnitude = rounded_magnitude<S>(flow, 1e-6);
  const S rise = in[shutoff_pressure] - fall * flow * magnitude;
  return rise;
}

/// Pressure rise of the running fan, Pa: the test's curve scaled by the affinity laws; windmilling takes over
/// where the curve would fall below it.
template <class S>
S running_loss(const Input<S>& in, const Local<S>& local) {
  const S flow = in.mass_flow / local.density;
  const S ratio = speed_ratio<S>(in);
  const S tested = curve_rise<S>(in, S(flow / ratio));
  // An uneven stream close behind a bend takes a tenth of the pressure (closure of ours).
  const S even =
      upstream_factor<S, 1>(in, upstream_fitting, upstream_distance, equivalent_diameter<S>(in[area]), {0.9});
  const S scale = even * tip_factor<S>(in) * ratio * ratio;
  const S rise = scale * blade_density<S>(in, local) / in[density] * tested;
  const S windmill = in[windmill_loss] * local.head;
  // A curve of static pressure stands on what is left when the annulus has thrown its head away.
  const S thrown = in.choice(pressure) == static_pressure ? larger<S>(local.head, S(0.0)) : S(0.0);
  const S driven = thrown - rise;
  return select<S>(in.forward(), smaller<S>(driven, windmill), driven);
}

/// A locked wheel: given, or as a plate of the blades' projected area with the leaving head (closure of
/// ours).
template <class S>
S locked_loss(const Input<S>& in) {
  if (!in.has(blade_blockage)) return in[stopped_loss];
  const S loss = 1.0 + plate_loss<S>(S(1.0 - in[blade_blockage]));
  return loss;
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
        out.item[0] = locked_loss<S>(in) * local.head;
        break;
      case FanState::removed:
        out.item[0] = in[removed_loss] * local.head;
        break;
    }
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    const S flow = in.mass_flow / local.density;
    const S air_power = -out.item[0] * flow;
    const bool drawing = in.fan_state == FanState::on;
    // Blown through beyond its free flow the fan draws next to nothing, and gives nothing back.
    out.reported[1] = drawing ? larger<S>(S(air_power / in[efficiency]), S(0.0)) : S(0.0);
    const bool tested = drawing && in.has(points);
    out.reported[2] = tested ? S(flow / speed_ratio<S>(in) / in.curve(points).last()) : S(0.0);
  }
};

/// Loss over flow may fall where the pressure rise climbs with the flow.
bool monotone_of(const Values& values) {
  return !values.has(points) || values.curve[points]->rising().empty();
}

std::string mended(const Values& values) {
  if (monotone_of(values)) return "";
  const Curve::Span stall = values.curve[points]->rising();
  return "the fan's curve rises between " + units::show(stall.from, units::Quantity::air_flow) + " and " +
         units::show(stall.to, units::Quantity::air_flow) +
         ": there the fan may stall and more than one operating point is possible";
}

std::string contradiction(const Values& values) {
  if (!values.has(points)) return "";
  const Curve& curve = *values.curve[points];
  if (curve.first() < 0.0) return "the curve begins at a negative volume flow; give it from zero on";
  if (*std::max_element(curve.y().begin(), curve.y().end()) > 0.0) return "";
  return "no point of the curve has a positive pressure rise; a fan makes pressure";
}

std::vector<Rule> rules() {
  std::vector<Rule> list = upstream_rules();
  list.push_back({Rule::Kind::at_most_one, {"stopped_loss", "blade_blockage"}});
  list.push_back({Rule::Kind::needs, {"shaft_speed", "curve.shaft_speed"}});
  list.push_back({Rule::Kind::at_most_one, {"shaft_speed", "supply_voltage"}});
  list.push_back({Rule::Kind::exactly_one, {"curve.shutoff_pressure", "curve.points"}});
  list.push_back({Rule::Kind::needs, {"curve.shutoff_pressure", "curve.free_flow"}});
  list.push_back({Rule::Kind::needs, {"curve.free_flow", "curve.shutoff_pressure"}});
  return list;
}

/// What was tested, and in which air and at which speed.
std::vector<Key> curve_keys() {
  return {{.name = "curve.shutoff_pressure",
           .symbol = "dp_0",
           .quantity = units::Quantity::pressure_difference,
           .meaning = "pressure rise at zero flow in the test, of a curve given as a parabola",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.05},
           .source = "common practice, no source"},
          {.name = "curve.free_flow",
           .symbol = "Q_0",
           .quantity = units::Quantity::air_flow,
           .meaning = "volume flow at zero pressure rise in the test, of a curve given as a parabola",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "curve.points",
           .meaning = "the tested curve: pressure rise over volume flow, stall included",
           .need = Need::optional,
           .curve = &form()},
          {.name = "curve.pressure",
           .meaning = "what the curve's pressure is: total, or static behind the fan",
           .need = Need::standard,
           .standard = 0,
           .choices = {"total", "static"}},
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
          {.name = "curve.supply_voltage",
           .symbol = "U_t",
           .quantity = units::Quantity::voltage,
           .meaning = "voltage at the motor in the test",
           .need = Need::standard,
           .standard = 13.0,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "data sheets of 12 V fans, common practice, no source"}};
}

/// How fast it turns in the car.
std::vector<Key> drive_keys() {
  return {{.name = "shaft_speed",
           .symbol = "n",
           .quantity = units::Quantity::shaft_speed,
           .meaning = "shaft speed when on; the test's if absent",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "supply_voltage",
           .symbol = "U",
           .quantity = units::Quantity::voltage,
           .meaning = "voltage at the motor when on, instead of a shaft speed; the test's if absent",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.03},
           .source = "cables and alternator, common practice, no source"}};
}

/// What stands in the stream when it is off, what it draws when it is on, and its gap.
std::vector<Key> wheel_keys() {
  return {
      {.name = "windmill_loss",
       .symbol = "K_w",
       .meaning = "loss coefficient when freewheeling, leaving head included",
       .need = Need::standard,
       .standard = 1.5,
       .lowest = 0.0,
       .spread = {.relative = 0.40},
       .source = "closure of ours: 1 for the leaving head, 0.2 to 0.7 for blades of drag coefficient 0.03 to "
                 "0.06, 0.1 for struts; no measured value found",
       .tag = Tag::closure},
      {.name = "stopped_loss",
       .symbol = "K_st",
       .meaning = "loss coefficient when the wheel is locked, leaving head included",
       .need = Need::standard,
       .standard = 5.0,
       .lowest = 0.0,
       .spread = {.relative = 0.40},
       .source = "closure of ours: 3 (open, 4 to 6 blades) to 8 (close pitch); no measured value found",
       .tag = Tag::closure},
      {.name = "blade_blockage",
       .symbol = "b",
       .meaning = "projected area of the blades over the annulus; gives the loss of the locked wheel",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 0.95,
       .spread = {.relative = 0.15}},
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
       .source = "0.25 to 0.40 brushed, 0.40 to 0.55 brushless motor; common practice, no source"},
      {.name = "tip_clearance",
       .symbol = "s_t",
       .quantity = units::Quantity::length,
       .meaning = "gap between blade tips and ring",
       .need = Need::optional,
       .lowest = 0.0}};
}

std::vector<Key> keys() {
  std::vector<Key> list = joined(
      {{area_key("area", "A", "annulus swept by the blades")}, curve_keys(), drive_keys(), wheel_keys()});
  add_upstream_keys(list, {"bend"});
  return list;
}

}  // namespace

const Kind& fan_kind() {
  static const Kind kind{
      .name = "fan",
      .title = "Fan",
      .meaning = "an axial fan in its ring, running, freewheeling, stopped or taken out",
      .keys = keys(),
      .rules = rules(),
      .formula =
          "on: rise = max((rho/rho_t) (dp_0 x^2 - (dp_0/Q_0^2) Q|Q|), -K_w q), x = n/n_t or "
          "(U/U_t)^0.9, or the tested points scaled alike; a static curve loses q besides; 10 % less close "
          "behind a bend, 10 % less with tips further from the ring than 1 % of the diameter; freewheeling: "
          "dp = K_w q; stopped: dp = K_st q, or 1 + the plate of the blades' blockage; removed: dp = K_ring "
          "q",
      .reference = "annulus, upwind density",
      .reversed = "on: the same curve; else the same coefficient with the other sign",
      .range =
          "the flows of the curve; beyond free flow the parabola goes on, beyond the last point a straight "
          "line",
      .ranges = {{"share_of_tested_flow", -0.0001, 1.0, "is beyond the flows at which the fan was tested"}},
      .band = 0.05,
      .source = "affinity laws; parabola and off states are closures of ours",
      .tag = Tag::closure,
      .contradiction = &contradiction,
      .mended = &mended,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity through the annulus"},
                   {"power", units::Quantity::power, "electrical power drawn"},
                   {"share_of_tested_flow", units::Quantity::number,
                    "flow over the largest flow tested; 0 without points"}},
      .items = {"fan"},
      .monotone_of = &monotone_of,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.058}, {"curve.shutoff_pressure", 180.0}, {"curve.free_flow", 0.75}},
                  .velocity = 8.0,
                  .area = 0.058}};
  return kind;
}

}  // namespace corefeed::losses
