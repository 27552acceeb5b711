// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t { points, density, viscosity, area, loss_factor };
enum Abscissa : std::size_t { volume_flow, velocity };

const CurveForm& form() {
  static const CurveForm one{
      .abscissas = {{"volume_flow", Quantity::air_flow, "volume flow through the part in the test"},
                    {"velocity", Quantity::velocity, "mean velocity on `area` in the test"}},
      .ordinate = {"pressure_loss", Quantity::pressure_difference, "loss of total pressure in the test"},
      .least_points = 2,
      .from_origin = true,
      .rising = true};
  return one;
}

/// The loss of the test at this flow, Pa: the curve inside the tested range, the square law of its last point
/// beyond. `flow` is not negative.
template <class S>
S tested(const Curve& curve, const Same<S>& flow) {
  const double last = curve.last();
  const S inside = curve_at(curve, smaller<S>(flow, S(last)));
  const S beyond = larger<S>(S(flow / last), S(1.0));
  return inside * beyond * beyond;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Curve& curve = in.curve(points);
    const bool by_velocity = curve.abscissa() == velocity;
    const S section = by_velocity ? in[area] : S(1.0);
    const S before = density_at<S>(in, in.pressure_from, in.temperature_from);
    const S behind = density_at<S>(in, in.pressure_to, in.temperature_to);
    const S rho = select<S>(in.forward(), before, behind);
    const S size = select<S>(in.forward(), in.mass_flow, S(-in.mass_flow));
    const S flow = size / (rho * section);
    // Equal Reynolds numbers: the test at flow * (rho/mu)/(rho_t/mu_t) had this loss coefficient. Without the
    // test's viscosity the coefficient is taken at the same flow.
    const S temperature = select<S>(in.forward(), in.temperature_from, in.temperature_to);
    const S kinematic = viscosity_at<S>(in, temperature) / rho;
    const S same = in.has(viscosity) ? S(in[viscosity] / in[density] / kinematic) : S(1.0);
    const S tested_flow = flow * same;
    const S scale = rho / (in[density] * same * same);
    const S loss = in[loss_factor] * scale * tested<S>(curve, tested_flow);
    out.item[0] = select<S>(in.forward(), loss, S(-loss));
    if (out.loss_alone) return;
    out.reported[0] = in.mass_flow / rho;
    out.reported[1] = select<S>(in.forward(), tested_flow, S(-tested_flow)) / curve.last();
  }
};

std::string contradiction(const Values& values) {
  const bool by_velocity = values.curve[points]->abscissa() == velocity;
  if (by_velocity && !values.has(area))
    return "a curve over velocity needs the area that the velocity is for";
  return "";
}

/// From how far below its first point on the curve is a guess between that point and rest: a third.
std::string mended(const Values& values) {
  const Curve& curve = *values.curve[points];
  if (curve.first_measured() <= 0.34 * curve.last()) return "";
  return "the test's points begin at more than a third of its largest flow; below them the loss is drawn "
         "towards zero";
}

std::vector<Key> keys() {
  Key section = area_key("area", "A", "area on which a curve over velocity stands");
  section.need = Need::optional;
  return {{.name = "curve.points",
           .meaning = "the test: loss of total pressure over volume flow, or over velocity on `area`",
           .curve = &form()},
          {.name = "curve.density",
           .symbol = "rho_t",
           .quantity = Quantity::density,
           .meaning = "density of the test",
           .need = Need::standard,
           .standard = 1.2,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "standard air, common practice, no source"},
          {.name = "curve.viscosity",
           .symbol = "mu_t",
           .quantity = Quantity::dynamic_viscosity,
           .meaning = "viscosity of the test; with it the curve is used at equal Reynolds number",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true},
          section,
          loss_factor_key(0.05)};
}

}  // namespace

const Kind& tested_loss_kind() {
  static const Kind kind{
      .name = "tested_loss",
      .title = "Tested loss",
      .meaning = "a part whose loss was measured: filter, silencer, heat shield, a whole duct",
      .carries = Carries::either,
      .keys = keys(),
      .formula =
          "dp = (rho/rho_t) (Q/Q_t)^2 dp_t(Q_t), Q_t = Q (rho/mu)/(rho_t/mu_t) where the test's viscosity is "
          "given, else Q; dp_t a monotone cubic through the points and rest, beyond the last point its "
          "square law",
      .reference = "volume flow at the upwind side's total state",
      .reversed = "the same with the other sign: tested one way, a part may lose more the other way",
      .range = "flows of the test; beyond them the result carries a warning",
      .ranges = {{"share_of_tested_flow", -0.0001, 1.0, "is beyond the flows that were tested"}},
      .band = 0.05,
      .source = "dynamic similarity: loss coefficient a function of Reynolds number alone",
      .tag = Tag::computed,
      .contradiction = &contradiction,
      .mended = &mended,
      .reported = {{"volume_flow", Quantity::air_flow, "volume flow"},
                   {"share_of_tested_flow", Quantity::number,
                    "flow at the test's Reynolds number over the largest tested"}},
      .items = {"tested loss"},
      .law = law_of<Formula>(),
      .example = {.numbers = {},
                  .velocity = 0.3,
                  .area = 1.0,
                  .curve_points = {{0.1, 22.0}, {0.2, 80.0}, {0.4, 300.0}}}};
  return kind;
}

}  // namespace corefeed::losses
