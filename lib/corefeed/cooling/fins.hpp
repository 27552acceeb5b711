// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "corefeed/cooling/pressure_drop.hpp"
#include "corefeed/cooling/tube_side.hpp"

/// Finned passages from their geometry: louvered, plain and offset-strip fins between flat tubes, and
/// offset strips inside a tube. Lengths in m, angles in rad. Private to the library's sources.
namespace corefeed::cooling {

inline constexpr Source louver_heat_source{"Chang & Wang 1997, Int. J. Heat Mass Transfer 40:533",
                                           "Re on the louver pitch 100 to 3000, 91 cores", 0.15,
                                           Tag::from_memory};
inline constexpr Source louver_friction_source{
    "Chang, Hsu, Lin & Wang 2000, Int. J. Heat Mass Transfer 43:2237; joined over Re 130 to 230 by Chang, "
    "Chang, Li & Wang 2006, 49:4250",
    "Re on the louver pitch 100 to 3000, 91 cores", 0.20, Tag::from_memory};
inline constexpr Source offset_strip_source{
    "Manglik & Bergles 1995, Exp. Thermal Fluid Sci. 10:171",
    "Re 120 to 10000, gases; for oils (Prandtl number above 15) an extrapolation, 35 %", 0.20,
    Tag::from_memory};

/// Corrugated louvered fin between flat tubes.
struct LouverFin {
  double louver_pitch = 0;
  double louver_angle = 0;
  double louver_length = 0;
  double fin_pitch = 0;
  double fin_height = 0;  ///< from tube to tube
  double fin_thickness = 0;
  double tube_pitch = 0;
  double tube_thickness = 0;  ///< across the air
  double depth = 0;           ///< of tube and fin along the air
  double conductivity = 200;  ///< W/(m K), aluminum 180 to 220
};

/// Straight rectangular passages between flat tubes.
struct PlainFin {
  double fin_pitch = 0;
  double fin_height = 0;
  double fin_thickness = 0;
  double tube_pitch = 0;
  double depth = 0;
  double conductivity = 200;
};

/// Rectangular offset strips, layers of them at `layer_pitch` (fin height, its base and the tube between).
struct OffsetStripFin {
  double spacing = 0;  ///< s, clear width between strips
  double height = 0;   ///< h, clear
  double strip_length = 0;
  double thickness = 0;
  double layer_pitch = 0;
  double depth = 0;
  double conductivity = 200;
};

/// What a finned passage is per face area.
struct Surface {
  double free_flow_ratio = 0;     ///< sigma
  double hydraulic_diameter = 0;  ///< 4 A_c L/A
  double depth = 0;
  double area_ratio = 0;   ///< wetted area A over face area
  double fin_share = 0;    ///< fins over A
  double half_height = 0;  ///< length of the fin from its root to the middle
  double fin_thickness = 0;
  double fin_conductivity = 0;
};

Surface surface_of(const LouverFin& fin);
Surface surface_of(const PlainFin& fin);
Surface surface_of(const OffsetStripFin& fin);

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
template <class S>
S fin_parameter(const Surface& surface, const Same<S>& coefficient) {
  using std::sqrt;
  const S inner = 2.0 * coefficient / (surface.fin_conductivity * surface.fin_thickness);
  const S result = surface.half_height * sqrt(inner);
  return result;
}

/// 1 - A_f/A (1 - eta_f).
template <class S>
S surface_efficiency(const Surface& surface, const Same<S>& coefficient) {
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

/// `reynolds` on the louver pitch and the velocity in the passages. `louver_heat_source`.
template <class S>
S louver_colburn(const LouverFin& fin, const Same<S>& reynolds) {
  using std::pow;
  const double pitch = fin.louver_pitch;
  const double shape = std::pow(fin.louver_angle * (2 / std::numbers::pi), 0.27) *
                       std::pow(fin.fin_pitch / pitch, -0.14) * std::pow(fin.fin_height / pitch, -0.29) *
                       std::pow(fin.depth / pitch, -0.23) * std::pow(fin.louver_length / pitch, 0.68) *
                       std::pow(fin.tube_pitch / pitch, -0.28) * std::pow(fin.fin_thickness / pitch, -0.05);
  const S flow = pow(reynolds, -0.49);
  const S result = shape * flow;
  return result;
}

/// The law's branch for Re <= 130.
template <class S>
S louver_fanning_slow(const LouverFin& fin, double hydraulic_diameter, const Same<S>& reynolds) {
  using std::log;
  using std::pow;
  const double thin = std::log(std::pow(fin.fin_thickness / fin.fin_pitch, 0.48) + 0.9);
  const double shape = 14.39 * std::pow(std::log(1 + fin.fin_pitch / fin.louver_pitch), 3.04) *
                       std::pow(thin, -1.435) * std::pow(hydraulic_diameter / fin.louver_pitch, -3.01) *
                       std::pow(fin.fin_pitch / fin.louver_length, -0.308) *
                       std::pow(fin.depth / fin.louver_length, -0.308) *
                       std::exp(-0.1167 * fin.tube_pitch / fin.tube_thickness) *
                       std::pow(fin.louver_angle * (180 / std::numbers::pi), 0.35);
  const S slope = pow(reynolds, -0.805 * fin.fin_pitch / fin.fin_height);
  const S half = 0.5 * reynolds;
  const S logarithm = log(half);
  const S result = shape * slope * pow(logarithm, -3.01);
  return result;
}

/// The law's branch for Re >= 230.
template <class S>
S louver_fanning_fast(const LouverFin& fin, double hydraulic_diameter, const Same<S>& reynolds) {
  using std::log;
  using std::pow;
  const double degrees = fin.louver_angle * (180 / std::numbers::pi);
  const double thin = std::log(std::sqrt(fin.fin_thickness / fin.fin_pitch) + 0.9);
  const double gap = fin.tube_pitch - fin.tube_thickness;
  const double shape = 4.97 * std::pow(thin, -0.527) *
                       std::pow(hydraulic_diameter / fin.louver_pitch, -2.966) *
                       std::pow(fin.fin_pitch / fin.louver_length, -0.7931 * fin.tube_pitch / gap) *
                       std::pow(fin.tube_pitch / fin.tube_thickness, -0.0446) *
                       std::pow(std::log(1.2 + std::pow(fin.louver_pitch / fin.fin_pitch, 1.4)), -3.553) *
                       std::pow(degrees, -0.477);
  const S slope = pow(reynolds, 0.6049 - 1.064 / std::pow(degrees, 0.2));
  const S third = 0.3 * reynolds;
  const S logarithm = log(third);
  const S result = shape * slope * pow(logarithm, -2.966);
  return result;
}

/// Below this Reynolds number the slow branch runs into its own singularity; f Re is held from there on, the
/// loss of creeping flow.
inline constexpr double slowest_louver_reynolds = 30;

/// f over all Re: the two branches' squares mixed by w = 3.6 - 0.02 Re over 130 to 230.
/// `louver_friction_source`.
template <class S>
S louver_fanning(const LouverFin& fin, double hydraulic_diameter, const Same<S>& reynolds) {
  using std::sqrt;
  constexpr double slow_end = 130;
  constexpr double fast_begin = 230;
  const S crept = larger<S>(reynolds, S(slowest_louver_reynolds));
  const S below = smaller<S>(crept, S(slow_end));
  const S above = larger<S>(reynolds, S(fast_begin));
  const S between = smaller<S>(larger<S>(reynolds, S(slow_end)), S(fast_begin));
  const S weight = 3.6 - 0.02 * between;
  const S slow = louver_fanning_slow<S>(fin, hydraulic_diameter, below);
  const S fast = louver_fanning_fast<S>(fin, hydraulic_diameter, above);
  const S mixed = 0.5 * ((1.0 + weight) * slow * slow + (1.0 - weight) * fast * fast);
  const S result = sqrt(mixed) * crept / reynolds;
  return result;
}

/// j and f of offset strips; `reynolds` on the hydraulic diameter 4 s h l/(2 (s l + h l + t h) + t s), one
/// expression from laminar to turbulent. `offset_strip_source`.
template <class S>
Factors<S> offset_strip_factors(const OffsetStripFin& fin, const Same<S>& reynolds) {
  using std::pow;
  const double alpha = fin.spacing / fin.height;
  const double delta = fin.thickness / fin.strip_length;
  const double gamma = fin.thickness / fin.spacing;
  const auto shape = [&](double factor, double a, double b, double c) {
    return factor * std::pow(alpha, a) * std::pow(delta, b) * std::pow(gamma, c);
  };
  const S heat = 1.0 + shape(5.269e-5, 0.504, 0.456, -1.055) * pow(reynolds, 1.340);
  const S drag = 1.0 + shape(7.669e-8, 0.920, 3.767, 0.236) * pow(reynolds, 4.429);
  Factors<S> factors;
  factors.colburn = shape(0.6522, -0.1541, 0.1499, -0.0678) * pow(reynolds, -0.5403) * pow(heat, 0.1);
  factors.fanning = shape(9.6243, -0.1856, 0.3053, -0.2659) * pow(reynolds, -0.7422) * pow(drag, 0.1);
  return factors;
}

/// j and f of straight rectangular passages. Laminar: developed limits of the aspect ratio, thermal entrance
/// + 0.0668 Gz/(1 + 0.04 Gz^(2/3)) (Hausen 1943), hydraulic entrance K 1.2; turbulent: Gnielinski, Churchill,
/// K 0.1; the tubes' transition between. Band 10 % laminar, 15 % turbulent (from memory).
template <class S>
Factors<S> plain_factors(const PlainFin& fin, const Same<S>& reynolds, const Same<S>& prandtl) {
  using std::pow;
  const TubeSection passage = rectangular_tube(fin.fin_pitch - fin.fin_thickness, fin.fin_height);
  const double shortness = passage.hydraulic_diameter() / fin.depth;
  const Transition<S> flow = transition<S>(reynolds);
  const S graetz = flow.laminar_reynolds * prandtl * shortness;
  const S entrance = 0.0668 * graetz / (1.0 + 0.04 * pow(graetz, 2.0 / 3.0));
  const S laminar = passage.developed_nusselt + entrance;
  const S turbulent = gnielinski<S>(flow.turbulent_reynolds, prandtl);
  const S nusselt = laminar + flow.turbulent_share * (turbulent - laminar);
  const S developing = 1.2 - 1.1 * flow.turbulent_share;
  const S darcy = losses::darcy_friction<S>(reynolds, S(0.0), S(passage.laminar_product));
  Factors<S> factors;
  factors.colburn = nusselt / (reynolds * pow(prandtl, 1.0 / 3.0));
  factors.fanning = 0.25 * (darcy + developing * shortness);
  return factors;
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
  Matrix<S> matrix;
};

template <class S>
FinnedSide<S> finned_side(const Surface& surface, const FaceFlow<S>& flow, const Same<S>& reynolds,
                          const Factors<S>& factors) {
  using std::pow;
  FinnedSide<S> side;
  side.reynolds = reynolds;
  side.factors = factors;
  const S flux = flow.flux / surface.free_flow_ratio;
  const S prandtl = flow.heat_capacity * flow.viscosity / flow.conductivity;
  side.coefficient = factors.colburn * flux * flow.heat_capacity * pow(prandtl, -2.0 / 3.0);
  side.efficiency = surface_efficiency<S>(surface, side.coefficient);
  side.conductance = side.efficiency * side.coefficient * surface.area_ratio;
  side.matrix.free_flow_ratio = S(surface.free_flow_ratio);
  side.matrix.entrance = entrance_coefficient<S>(side.matrix.free_flow_ratio);
  side.matrix.exit = exit_coefficient<S>(side.matrix.free_flow_ratio);
  side.matrix.friction = factors.fanning * (4 * surface.depth / surface.hydraulic_diameter);
  return side;
}

template <class S>
FinnedSide<S> finned_side(const LouverFin& fin, const FaceFlow<S>& flow) {
  const Surface surface = surface_of(fin);
  const S reynolds = flow.flux * fin.louver_pitch / (surface.free_flow_ratio * flow.viscosity);
  const Factors<S> factors{louver_colburn<S>(fin, reynolds),
                           louver_fanning<S>(fin, surface.hydraulic_diameter, reynolds)};
  return finned_side<S>(surface, flow, reynolds, factors);
}

template <class S>
FinnedSide<S> finned_side(const OffsetStripFin& fin, const FaceFlow<S>& flow) {
  const Surface surface = surface_of(fin);
  const S reynolds = flow.flux * surface.hydraulic_diameter / (surface.free_flow_ratio * flow.viscosity);
  return finned_side<S>(surface, flow, reynolds, offset_strip_factors<S>(fin, reynolds));
}

template <class S>
FinnedSide<S> finned_side(const PlainFin& fin, const FaceFlow<S>& flow) {
  const Surface surface = surface_of(fin);
  const S reynolds = flow.flux * surface.hydraulic_diameter / (surface.free_flow_ratio * flow.viscosity);
  const S prandtl = flow.heat_capacity * flow.viscosity / flow.conductivity;
  return finned_side<S>(surface, flow, reynolds, plain_factors<S>(fin, reynolds, prandtl));
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
  const double diameter = surface_of(strips).hydraulic_diameter;
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

/// Where the fins' laws are asked outside the data behind them; for plain fins `tube_excesses` tells it.
std::vector<OutOfRange> fin_excesses(const LouverFin& fin, double reynolds);
std::vector<OutOfRange> fin_excesses(const OffsetStripFin& fin, double reynolds, double prandtl);

}  // namespace corefeed::cooling
