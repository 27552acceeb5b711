// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "corefeed/losses/pump.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t {
  shutoff_pressure,
  free_flow,
  initial_slope,
  points,
  density,
  test_speed,
  shaft_speed,
  speed_ratio,
  suction_limit,
  efficiency,
  head_factor
};

const CurveForm& form() {
  static const CurveForm one{
      .abscissas = {{"volume_flow", Quantity::volume_flow, "volume flow in the test"}},
      .ordinate = {"pressure_rise", Quantity::pressure_difference, "pressure rise in the test"},
      .least_points = 3};
  return one;
}

/// Shaft speed over that of the test. An engine at rest leaves a thousandth: the tested points are then
/// scaled by next to nothing.
template <class S>
S speed_of_test(const Input<S>& in) {
  if (!in.has(shaft_speed) && !in.has(speed_ratio)) return S(1.0);
  const S speed = pump::shaft_speed_of<S>(in, shaft_speed, speed_ratio, S(0.0));
  return larger<S>(S(speed / in[test_speed]), S(1e-3));
}

/// The parabola of three coefficients, scaled: H_0 x^2 + s H_0/Q_0 x Q - (1 + s) H_0/Q_0^2 Q|Q|.
template <class S>
S parabola(const Input<S>& in, const Same<S>& x, const Same<S>& flow) {
  const S steep = in[shutoff_pressure] / in[free_flow];
  const S fall = (1.0 + in[initial_slope]) * steep / in[free_flow];
  const S magnitude = rounded_magnitude<S>(flow, 1e-7);
  const S rise =
      in[shutoff_pressure] * x * x + in[initial_slope] * steep * x * flow - fall * flow * magnitude;
  return rise;
}

/// The tested points, scaled. Beyond the last one the curve goes on falling at least as steeply as from its
/// top to there; a flow against the pump meets a parabola.
template <class S>
S tested(const Curve& curve, const Same<S>& x, const Same<S>& flow) {
  const S test_flow = flow / x;
  const double first = curve.first();
  const double last = curve.last();
  const double top = *std::max_element(curve.y().begin(), curve.y().end());
  const double steep = std::max(-curve.slope(last), top / last);
  const S inside = curve_at(curve, held_between<S>(test_flow, first, last));
  const S against = smaller<S>(S(test_flow - first), S(0.0));
  const S beyond = larger<S>(S(test_flow - last), S(0.0));
  const double start = std::min(curve.slope(first), 0.0);
  const S rise = inside + start * against + top / (last * last) * against * against - steep * beyond;
  return rise * x * x;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S flow = pump::volume_flow<S>(in);
    const S x = speed_of_test<S>(in);
    const S cold = in.has(points) ? tested<S>(in.curve(points), x, flow) : parabola<S>(in, x, flow);
    const S heavy = density_at<S>(in, in.pressure_from, in.temperature_from) / in[density];
    const S rise = in[head_factor] * heavy * pump::filling<S>(in, suction_limit) * cold;
    out.item[0] = -rise;
    if (out.loss_alone) return;
    out.reported[0] = flow;
    out.reported[1] = larger<S>(S(rise * flow / in[efficiency]), S(0.0));
    out.reported[2] = pump::suction_margin<S>(in, suction_limit);
    out.reported[3] = pump::shaft_speed_of<S>(in, shaft_speed, speed_ratio, in[test_speed]);
    out.reported[4] = in.has(points) ? S(flow / x / in.curve(points).last()) : S(0.0);
  }
};

bool monotone_of(const Values& values) {
  if (values.has(points)) return values.curve[points]->rising().empty();
  return values.number[initial_slope] <= 0.0;
}

std::string contradiction(const Values& values) {
  if (!values.has(points)) return "";
  const Curve& curve = *values.curve[points];
  if (curve.first() < 0.0) return "the curve begins at a negative volume flow; give it from zero on";
  if (*std::max_element(curve.y().begin(), curve.y().end()) > 0.0) return "";
  return "no point of the curve has a positive pressure rise; a pump makes pressure";
}

std::vector<Key> keys() {
  return {{.name = "curve.shutoff_pressure",
           .symbol = "H_0",
           .quantity = Quantity::pressure_difference,
           .meaning = "pressure rise at zero flow in the test, of a curve given as a parabola",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "curve.free_flow",
           .symbol = "Q_0",
           .quantity = Quantity::volume_flow,
           .meaning = "volume flow at zero pressure rise in the test, of a curve given as a parabola",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          {.name = "curve.initial_slope",
           .symbol = "s",
           .meaning = "slope of the parabola at zero flow, over H_0/Q_0; above 0 the curve rises first",
           .need = Need::standard,
           .standard = 0.0,
           .lowest = -1.0,
           .highest = 3.0},
          {.name = "curve.points",
           .meaning = "the tested curve: pressure rise over volume flow",
           .need = Need::optional,
           .curve = &form()},
          {.name = "curve.density",
           .symbol = "rho_t",
           .quantity = Quantity::density,
           .meaning = "density of the liquid of the test",
           .need = Need::standard,
           .standard = 1000.0,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "pumps are tested with water; common practice, no source"},
          {.name = "curve.shaft_speed",
           .symbol = "n_t",
           .quantity = Quantity::shaft_speed,
           .meaning = "shaft speed of the test",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          pump::shaft_speed_key(),
          pump::speed_ratio_key(),
          pump::suction_limit_key(),
          {.name = "efficiency",
           .symbol = "eta",
           .meaning = "power given to the liquid over shaft power",
           .need = Need::standard,
           .standard = 0.5,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true,
           .source = "0.4 to 0.6 of a coolant pump near its best point; common practice, no source"},
          {.name = "head_factor",
           .symbol = "F_H",
           .meaning = "factor on the curve, to fit a test of one's own",
           .need = Need::standard,
           .standard = 1.0,
           .lowest = 0.0,
           .highest = 10.0,
           .spread = {.relative = 0.05},
           .source = "band of the law",
           .tag = Tag::closure,
           .coefficient = true}};
}

std::vector<Reported> reported() {
  std::vector<Reported> list = pump::reported();
  list.push_back(
      {"share_of_tested_flow", Quantity::number, "flow over the largest flow tested; 0 without points"});
  return list;
}

}  // namespace

const Kind& pump_kind() {
  static const Kind kind{
      .name = "pump",
      .title = "Pump",
      .meaning = "a centrifugal pump, driven by the engine or by a motor",
      .carries = Carries::liquid,
      .keys = keys(),
      .rules = {{Rule::Kind::exactly_one, {"curve.shutoff_pressure", "curve.points"}},
                {Rule::Kind::needs, {"curve.shutoff_pressure", "curve.free_flow"}},
                {Rule::Kind::needs, {"curve.free_flow", "curve.shutoff_pressure"}},
                {Rule::Kind::at_most_one, {"shaft_speed", "speed_ratio"}},
                {Rule::Kind::needs, {"shaft_speed", "curve.shaft_speed"}},
                {Rule::Kind::needs, {"speed_ratio", "curve.shaft_speed"}}},
      .formula =
          "rise = F_H (rho/rho_t) [H_0 x^2 + s (H_0/Q_0) x Q - (1 + s) (H_0/Q_0^2) Q|Q|], x = n/n_t, or the "
          "tested points scaled alike; times (p - p_v)/p_s where the inlet has less than p_s above vapor "
          "pressure; power = rise Q/eta",
      .reference = "volume flow, density at the inlet",
      .reversed = "the same curve",
      .range = "the flows of the curve; shaft speeds of half to twice the test's",
      .ranges = {{"share_of_tested_flow", -0.0001, 1.0, "is beyond the flows at which the pump was tested"}},
      .band = 0.05,
      .source = "affinity laws; suction derating is a closure of ours",
      .tag = Tag::closure,
      .contradiction = &contradiction,
      .reported = reported(),
      .items = {"pump"},
      .monotone_of = &monotone_of,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"curve.shutoff_pressure", 120e3}, {"curve.free_flow", 0.004}},
                  .velocity = 1.0,
                  .area = 0.002}};
  return kind;
}

}  // namespace corefeed::losses
