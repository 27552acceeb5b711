// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>

#include "corefeed/cooling/tube_side.hpp"
#include "corefeed/losses/fins.hpp"

/// Heat of finned passages from their geometry, on what `losses/fins.hpp` knows of their surface and
/// friction; offset strips inside a tube. Lengths in m, angles in rad. Private to the library's sources.
namespace corefeed::cooling {

using LouverFin = losses::LouverFin<double>;
using OffsetStripFin = losses::OffsetStripFin<double>;
using PlainFin = losses::PlainFin<double>;
using Surface = losses::Surface<double>;

/// tanh(m l)/(m l) of a straight fin with an adiabatic tip.
template <class S>
S fin_efficiency(const Same<S>& fin_parameter) {
  using std::tanh;
  // 1 - x^2/3 is 1 to the thirteenth digit there; at 0 the quotient is 0/0.
  const S held = larger<S>(fin_parameter, S(1e-7));
  const S result = tanh(held) / held;
  return result;
}

/// m l = l sqrt(2 h/(k thickness)).
template <class S, class G>
S fin_parameter(const losses::Surface<G>& surface, const Same<S>& coefficient) {
  using std::sqrt;
  const S inner = 2.0 * coefficient / (surface.fin_conductivity * surface.fin_thickness);
  const S result = surface.half_height * sqrt(inner);
  return result;
}

/// 1 - A_f/A (1 - eta_f).
template <class S, class G>
S surface_efficiency(const losses::Surface<G>& surface, const Same<S>& coefficient) {
  const S efficiency = fin_efficiency<S>(fin_parameter<S>(surface, coefficient));
  const S result = 1.0 - surface.fin_share * (1.0 - efficiency);
  return result;
}

/// Colburn j and Fanning f of a surface at one Reynolds number.
template <class S>
struct Factors {
  S colburn;
  S fanning;
};

/// `reynolds` on the louver pitch and the velocity in the passages. `losses::louver_heat_source`.
template <class S, class G>
S louver_colburn(const losses::LouverFin<G>& fin, const Same<S>& reynolds) {
  using std::pow;
  const G pitch = fin.louver_pitch;
  const auto ratio = [](const G& base, double exponent) {
    const G powered = pow(base, exponent);
    return powered;
  };
  const G turned = ratio(G(fin.louver_angle * (2 / std::numbers::pi)), 0.27);
  const G spaced = ratio(G(fin.fin_pitch / pitch), -0.14);
  const G high = ratio(G(fin.fin_height / pitch), -0.29);
  const G deep = ratio(G(fin.depth / pitch), -0.23);
  const G long_cut = ratio(G(fin.louver_length / pitch), 0.68);
  const G apart = ratio(G(fin.tube_pitch / pitch), -0.28);
  const G thick = ratio(G(fin.fin_thickness / pitch), -0.05);
  const G shape = turned * spaced * high * deep * long_cut * apart * thick;
  const S flow = pow(reynolds, -0.49);
  const S result = shape * flow;
  return result;
}

/// j of offset strips, with the range and band of `losses::offset_strip_source`.
template <class S, class G>
S offset_strip_colburn(const losses::OffsetStripFin<G>& fin, const Same<S>& reynolds) {
  using std::pow;
  const S stirred = 1.0 + losses::strip_shape<G>(fin, 5.269e-5, 0.504, 0.456, -1.055) * pow(reynolds, 1.340);
  const S slope = pow(reynolds, -0.5403);
  const S turbulent = pow(stirred, 0.1);
  const S result = losses::strip_shape<G>(fin, 0.6522, -0.1541, 0.1499, -0.0678) * slope * turbulent;
  return result;
}

template <class S, class G>
Factors<S> offset_strip_factors(const losses::OffsetStripFin<G>& fin, const Same<S>& reynolds) {
  return {offset_strip_colburn<S>(fin, reynolds), losses::offset_strip_fanning<S>(fin, reynolds)};
}

/// j of straight rectangular passages. Laminar: developed limit of the aspect ratio, thermal entrance
/// + 0.0668 Gz/(1 + 0.04 Gz^(2/3)) (Hausen 1943); turbulent: Gnielinski; the tubes' transition between. Band
/// 10 % laminar, 15 % turbulent (from memory).
template <class S, class G>
S plain_colburn(const losses::PlainFin<G>& fin, const Same<S>& reynolds, const Same<S>& prandtl) {
  using std::pow;
  const losses::Surface<G> surface = losses::surface_of(fin);
  const G shortness = surface.hydraulic_diameter / fin.depth;
  const G developed = rectangular_nusselt<G>(losses::passage_aspect<G>(fin));
  const Transition<S> flow = transition<S>(reynolds);
  const S graetz = flow.laminar_reynolds * prandtl * shortness;
  const S entrance = 0.0668 * graetz / (1.0 + 0.04 * pow(graetz, 2.0 / 3.0));
  const S laminar = developed + entrance;
  const S turbulent = gnielinski<S>(flow.turbulent_reynolds, prandtl);
  const S nusselt = laminar + flow.turbulent_share * (turbulent - laminar);
  const S result = nusselt / (reynolds * pow(prandtl, 1.0 / 3.0));
  return result;
}

template <class S, class G>
Factors<S> plain_factors(const losses::PlainFin<G>& fin, const Same<S>& reynolds, const Same<S>& prandtl) {
  return {plain_colburn<S>(fin, reynolds, prandtl), losses::plain_fanning<S>(fin, reynolds)};
}

/// Fluid that meets the face, by its mass flux on the face, kg/(s m2), positive.
template <class S>
struct FaceFlow {
  S flux;
  S viscosity;      ///< Pa s
  S heat_capacity;  ///< J/(kg K)
  S conductivity;   ///< W/(m K)
};

/// Finned side of a core per face area.
template <class S>
struct FinnedSide {
  S reynolds;  ///< on the length of the surface's own law
  Factors<S> factors;
  S coefficient;  ///< W/(m2 K)
  S efficiency;   ///< of the whole surface
  S conductance;  ///< eta_o h A per face area, W/(m2 K)
  losses::Matrix<S> matrix;
};

template <class S, class G>
Factors<S> factors_of(const losses::LouverFin<G>& fin, const Same<S>& reynolds, const Same<S>&) {
  return {louver_colburn<S>(fin, reynolds), losses::fanning_of<S>(fin, reynolds)};
}

template <class S, class G>
Factors<S> factors_of(const losses::OffsetStripFin<G>& fin, const Same<S>& reynolds, const Same<S>&) {
  return offset_strip_factors<S>(fin, reynolds);
}

template <class S, class G>
Factors<S> factors_of(const losses::PlainFin<G>& fin, const Same<S>& reynolds, const Same<S>& prandtl) {
  return plain_factors<S>(fin, reynolds, prandtl);
}

template <class S, class G, template <class> class Fin>
FinnedSide<S> finned_side(const Fin<G>& fin, const FaceFlow<S>& flow) {
  using std::pow;
  const losses::Surface<G> surface = losses::surface_of(fin);
  const S prandtl = flow.heat_capacity * flow.viscosity / flow.conductivity;
  FinnedSide<S> side;
  side.reynolds = losses::fin_reynolds<S>(fin, flow.flux, flow.viscosity);
  side.factors = factors_of<S>(fin, side.reynolds, prandtl);
  const S flux = flow.flux / surface.free_flow_ratio;
  side.coefficient = side.factors.colburn * flux * flow.heat_capacity * pow(prandtl, -2.0 / 3.0);
  side.efficiency = surface_efficiency<S>(surface, side.coefficient);
  side.conductance = side.efficiency * side.coefficient * surface.area_ratio;
  side.matrix = losses::finned_matrix<S>(surface, side.factors.fanning);
  return side;
}

/// Flat tubes with offset strips inside, one pass. `surface_efficiency` counts the strips' own resistance.
struct TurbulatedBank {
  OffsetStripFin strips;  ///< `layer_pitch` and `conductivity` are not used
  double width = 0;       ///< of the tube's inside
  double length = 0;
  double tubes = 1;
  double surface_efficiency = 0.85;
};

/// Liquid side of turbulated tubes. Heat times (mu/mu_w)^0.14, friction times (mu_w/mu)^0.25.
template <class S>
TubePass<S> turbulated_pass(const TurbulatedBank& bank, const Same<S>& flow, const LiquidState<S>& liquid) {
  using std::pow;
  const OffsetStripFin& strips = bank.strips;
  const double passage = bank.width / (strips.spacing + strips.thickness) * strips.spacing * strips.height;
  const double diameter = losses::surface_of(strips).hydraulic_diameter;
  const double area = 4 * bank.length * passage / diameter * bank.tubes;
  const S flux = flow / (passage * bank.tubes);
  TubePass<S> pass;
  pass.reynolds = flux * diameter / liquid.viscosity;
  const Factors<S> factors = offset_strip_factors<S>(strips, pass.reynolds);
  const S ratio = liquid.wall_viscosity / liquid.viscosity;
  const S prandtl = prandtl_number<S>(liquid);
  pass.friction = 4.0 * factors.fanning * pow(ratio, friction_viscosity_exponent);
  const S even = factors.colburn * flux * liquid.heat_capacity * pow(prandtl, -2.0 / 3.0);
  pass.coefficient = even * pow(ratio, -0.14);
  pass.conductance = bank.surface_efficiency * area * pass.coefficient;
  pass.loss = pass.friction * (bank.length / diameter) * flux * flux / (2.0 * liquid.density);
  return pass;
}

}  // namespace corefeed::cooling
