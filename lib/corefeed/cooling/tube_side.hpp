// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/fluids/source.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/scalar.hpp"
#include "corefeed/losses/transition.hpp"

/// Heat transfer and loss inside the tubes of a core, for every Reynolds number. Private to the library's
/// sources.
namespace corefeed::cooling {

using losses::laminar_end;
using losses::Transition;
using losses::transition;
using losses::turbulent_begin;

/// A law asked for a value outside the data it was fitted to: the caller warns, the value stands.
struct OutOfRange {
  std::string_view law;
  std::string_view quantity;
  double found = 0;
  double low = 0;
  double high = 0;
};

/// "Sieder & Tate 1936: the Prandtl number is 0.2, the law holds from 0.48 to 16700".
std::string describe(const OutOfRange& excess);

/// Appends an entry when `found` lies outside [low, high]; a NaN lies outside.
void note_range(std::vector<OutOfRange>& excesses, const OutOfRange& asked);

inline constexpr Source sieder_tate_source{"Sieder & Tate 1936, Ind. Eng. Chem. 28:1429",
                                           "laminar, Prandtl number 0.48 to 16700", 0.20, Tag::from_memory};
inline constexpr Source gnielinski_source{"Gnielinski 1976, Int. Chem. Eng. 16:359, with Petukhov's smooth f",
                                          "Re 3000 to 5e6, Prandtl number 0.5 to 2000", 0.10,
                                          Tag::from_memory};
inline constexpr Source dittus_boelter_source{"Dittus & Boelter 1930 in McAdams' form",
                                              "Re above 10000, Prandtl number 0.7 to 160", 0.25,
                                              Tag::from_memory};
inline constexpr Source rectangular_duct_source{
    "Shah & London 1978, Laminar Flow Forced Convection in Ducts, rectangular ducts",
    "laminar, fully developed", 0.02, Tag::from_memory};

/// Nusselt number of developed laminar flow with four walls at one temperature; `aspect` is short side over
/// long side. `rectangular_duct_source`.
template <class S>
S rectangular_nusselt(const S& aspect) {
  const S inner = 2.702 - 0.548 * aspect;
  const S fourth = -5.119 + aspect * inner;
  const S third = 4.970 + aspect * fourth;
  const S second = -2.610 + aspect * third;
  const S result = 7.541 * (1.0 + aspect * second);
  return result;
}

/// What the laws need of a tube's inside. Lengths in m.
struct TubeSection {
  double flow_area = 0;
  double wetted_perimeter = 0;
  double laminar_product = 64;      ///< f Re, Darcy
  double developed_nusselt = 3.66;  ///< laminar, wall at one temperature
  double hydraulic_diameter() const { return 4 * flow_area / wetted_perimeter; }
};

TubeSection round_tube(double diameter);
/// Flat tube whose laminar limits are those of an endless slot (96 and 7.54).
TubeSection wide_tube(double width, double height);
/// Flat tube with the limits of its own aspect ratio.
TubeSection rectangular_tube(double width, double height);

/// Liquid at its mean temperature, and its viscosity at the wall.
template <class S>
struct LiquidState {
  S density;         ///< kg/m3
  S viscosity;       ///< Pa s
  S wall_viscosity;  ///< Pa s
  S heat_capacity;   ///< J/(kg K)
  S conductivity;    ///< W/(m K)
};

template <class S>
S prandtl_number(const LiquidState<S>& liquid) {
  const S result = liquid.heat_capacity * liquid.viscosity / liquid.conductivity;
  return result;
}

/// Reynolds number on the hydraulic diameter of one tube that carries `flow` kg/s.
template <class S>
S reynolds_number(const TubeSection& section, const Same<S>& flow, const Same<S>& viscosity) {
  const S flux = flow / section.flow_area;
  const S result = flux * section.hydraulic_diameter() / viscosity;
  return result;
}

/// Nu = 1.86 (Re Pr D/L)^(1/3) (mu/mu_w)^0.14, mean over the tube. `sieder_tate_source`.
template <class S>
S sieder_tate_laminar(const Same<S>& reynolds, const Same<S>& prandtl, double diameter_over_length,
                      const Same<S>& viscosity_ratio = S(1.0)) {
  using std::pow;
  const S graetz = reynolds * prandtl * diameter_over_length;
  const S root = pow(graetz, 1.0 / 3.0);
  const S correction = pow(viscosity_ratio, 0.14);
  const S result = 1.86 * root * correction;
  return result;
}

/// Nu = 0.027 Re^0.8 Pr^(1/3) (mu/mu_w)^0.14, Re above 10000. `sieder_tate_source`.
template <class S>
S sieder_tate_turbulent(const Same<S>& reynolds, const Same<S>& prandtl,
                        const Same<S>& viscosity_ratio = S(1.0)) {
  using std::pow;
  const S stirred = pow(reynolds, 0.8);
  const S root = pow(prandtl, 1.0 / 3.0);
  const S correction = pow(viscosity_ratio, 0.14);
  const S result = 0.027 * stirred * root * correction;
  return result;
}

/// Nu = 0.023 Re^0.8 Pr^n, n 0.4 for a fluid that is heated and 0.3 for one that is cooled.
/// `dittus_boelter_source`.
template <class S>
S dittus_boelter(const Same<S>& reynolds, const Same<S>& prandtl, double exponent) {
  using std::pow;
  const S stirred = pow(reynolds, 0.8);
  const S diffused = pow(prandtl, exponent);
  const S result = 0.023 * stirred * diffused;
  return result;
}

/// Darcy f = (0.790 ln Re - 1.64)^-2 of a smooth tube, Re 3000 to 5e6 (Petukhov 1970).
template <class S>
S petukhov_friction(const Same<S>& reynolds) {
  using std::log;
  const S root = 0.790 * log(reynolds) - 1.64;
  const S result = 1.0 / (root * root);
  return result;
}

/// Nu = (f/8)(Re - 1000) Pr/(1 + 12.7 sqrt(f/8)(Pr^(2/3) - 1)). `gnielinski_source`.
template <class S>
S gnielinski(const Same<S>& reynolds, const Same<S>& prandtl) {
  using std::pow;
  using std::sqrt;
  const S eighth = petukhov_friction<S>(reynolds) / 8.0;
  const S root = sqrt(eighth);
  const S diffused = pow(prandtl, 2.0 / 3.0);
  const S result = eighth * (reynolds - 1000.0) * prandtl / (1.0 + 12.7 * root * (diffused - 1.0));
  return result;
}

/// Mean Nusselt number of a tube for every Re: the larger of the developed limit and Sieder-Tate where
/// laminar, Gnielinski where turbulent, mixed between. Property ratios (mu/mu_w)^0.14 and, turbulent,
/// (Pr/Pr_w)^0.11 with k and cp taken as those of the mean. Band 20 % laminar, 10 % turbulent, 25 % between.
template <class S>
S tube_nusselt(const TubeSection& section, double length, const LiquidState<S>& liquid,
               const Same<S>& reynolds) {
  using std::pow;
  const S prandtl = prandtl_number<S>(liquid);
  const S ratio = liquid.viscosity / liquid.wall_viscosity;
  const Transition<S> flow = transition<S>(reynolds);
  const S entering =
      sieder_tate_laminar<S>(flow.laminar_reynolds, prandtl, section.hydraulic_diameter() / length);
  const S calm = larger<S>(entering, S(section.developed_nusselt));
  const S laminar = calm * pow(ratio, 0.14);
  const S stirred = gnielinski<S>(flow.turbulent_reynolds, prandtl);
  const S turbulent = stirred * pow(ratio, 0.11);
  const S result = laminar + flow.turbulent_share * (turbulent - laminar);
  return result;
}

/// Tubes that carry the liquid side by side, one pass.
struct TubeBank {
  TubeSection section;
  double length = 0;  ///< m
  double tubes = 1;
  double relative_roughness = 0;
};

/// Liquid side of one pass.
template <class S>
struct TubePass {
  S reynolds;
  S friction;     ///< Darcy, with its property ratio
  S coefficient;  ///< W/(m2 K)
  S conductance;  ///< h A of the pass, W/K
  S loss;         ///< Pa, tubes alone
};

/// Exponent of mu_w/mu on the friction factor of liquids (Kays & London, Compact Heat Exchangers, 1984, from
/// memory; taken for laminar flow too, +-10 %).
inline constexpr double friction_viscosity_exponent = 0.25;

/// Plain tubes; `flow` is what the whole bank carries, positive, kg/s.
template <class S>
TubePass<S> plain_pass(const TubeBank& bank, const Same<S>& flow, const LiquidState<S>& liquid) {
  using std::pow;
  const double diameter = bank.section.hydraulic_diameter();
  const S share = flow / bank.tubes;
  TubePass<S> pass;
  pass.reynolds = reynolds_number<S>(bank.section, share, liquid.viscosity);
  const S ratio = liquid.wall_viscosity / liquid.viscosity;
  const S even =
      losses::darcy_friction<S>(pass.reynolds, S(bank.relative_roughness), S(bank.section.laminar_product));
  pass.friction = even * pow(ratio, friction_viscosity_exponent);
  const S nusselt = tube_nusselt<S>(bank.section, bank.length, liquid, pass.reynolds);
  pass.coefficient = nusselt * liquid.conductivity / diameter;
  pass.conductance = pass.coefficient * (bank.tubes * bank.section.wetted_perimeter * bank.length);
  const S flux = share / bank.section.flow_area;
  pass.loss = pass.friction * (bank.length / diameter) * flux * flux / (2.0 * liquid.density);
  return pass;
}

/// Ports and return tanks of a liquid side.
struct Passages {
  double port_area = 0;      ///< m2
  double port_loss = 2.0;    ///< K of both ports on the port's dynamic head; 1.0 in and 1.0 out
  double return_area = 0;    ///< m2, asked for from two passes on
  double return_loss = 1.5;  ///< K of one return tank on its own dynamic head
};

/// Loss outside tubes and headers, Pa, of a core with `passes` passes.
template <class S>
S passages_loss(const Passages& passages, int passes, const Same<S>& flow, const Same<S>& density) {
  double sum = passages.port_loss / (passages.port_area * passages.port_area);
  if (passes > 1) {
    sum += (passes - 1) * passages.return_loss / (passages.return_area * passages.return_area);
  }
  const S result = sum * flow * flow / (2.0 * density);
  return result;
}

/// Factor on a liquid conductance h A ~ Re^n Pr^(1/3) measured with one liquid, for another liquid at the
/// same mass flow: k^(2/3) cp^(1/3) mu^(1/3 - n). n 0.8 turbulent, 1/3 laminar.
template <class S>
S liquid_exchange_factor(double exponent, const LiquidState<S>& measured, const LiquidState<S>& wanted) {
  using std::pow;
  const S conducted = wanted.conductivity / measured.conductivity;
  const S carried = wanted.heat_capacity / measured.heat_capacity;
  const S dragged = wanted.viscosity / measured.viscosity;
  const S result = pow(conducted, 2.0 / 3.0) * pow(carried, 1.0 / 3.0) * pow(dragged, 1.0 / 3.0 - exponent);
  return result;
}

/// Round tube in two streams, for the sum of resistances below.
struct FouledTube {
  double inner_diameter = 0;     ///< m
  double outer_diameter = 0;     ///< m
  double length = 0;             ///< m
  double conductivity = 0;       ///< W/(m K), of the wall
  double inner_coefficient = 0;  ///< W/(m2 K)
  double outer_coefficient = 0;  ///< W/(m2 K)
  double inner_fouling = 0;      ///< m2 K/W
  double outer_fouling = 0;      ///< m2 K/W
};

/// K/W from stream to stream: both films, both fouling layers and ln(D_o/D_i)/(2 pi k L) of the wall.
double tube_resistance(const FouledTube& tube);

/// Where `tube_nusselt` is asked outside its laws' ranges; 2300 to 4000 counts as outside both.
std::vector<OutOfRange> tube_excesses(double reynolds, double prandtl);

}  // namespace corefeed::cooling
