// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>

#include "corefeed/losses/core_drop.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/transition.hpp"

/// Finned passages from their geometry and what they rub: louvered, plain and offset-strip fins between flat
/// tubes. Lengths in m, angles in rad. The geometry has a scalar type of its own (G), so that a core whose
/// fins are parameters gets derivatives by them and one of fixed fins costs nothing for it. Private to the
/// library's sources.
namespace corefeed::losses {

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
template <class G>
struct LouverFin {
  G louver_pitch{0.0};
  G louver_angle{0.0};
  G louver_length{0.0};
  G fin_pitch{0.0};
  G fin_height{0.0};  ///< from tube to tube
  G fin_thickness{0.0};
  G tube_pitch{0.0};
  G tube_thickness{0.0};  ///< across the air
  G depth{0.0};           ///< of tube and fin along the air
  G conductivity{200.0};  ///< W/(m K), aluminum 180 to 220
};

/// Straight rectangular passages between flat tubes.
template <class G>
struct PlainFin {
  G fin_pitch{0.0};
  G fin_height{0.0};
  G fin_thickness{0.0};
  G tube_pitch{0.0};
  G depth{0.0};
  G conductivity{200.0};
};

/// Rectangular offset strips, layers of them at `layer_pitch` (fin height, its base and the tube between).
template <class G>
struct OffsetStripFin {
  G spacing{0.0};  ///< s, clear width between strips
  G height{0.0};   ///< h, clear
  G strip_length{0.0};
  G thickness{0.0};
  G layer_pitch{0.0};
  G depth{0.0};
  G conductivity{200.0};
};

/// What a finned passage is per face area.
template <class G>
struct Surface {
  G free_flow_ratio;     ///< sigma
  G hydraulic_diameter;  ///< 4 A_c L/A
  G depth;
  G area_ratio;   ///< wetted area A over face area
  G fin_share;    ///< fins over A
  G half_height;  ///< length of the fin from its root to the middle
  G fin_thickness;
  G fin_conductivity;
};

/// Straight fins between tubes: per fin and gap two sides of fin and two strips of tube wall.
template <class G, template <class> class Fin>
Surface<G> straight_fins(const Fin<G>& fin) {
  const G clear = fin.fin_pitch - fin.fin_thickness;
  const G cell = fin.fin_pitch * fin.tube_pitch;
  const G around = clear + fin.fin_height;
  Surface<G> surface;
  surface.depth = fin.depth;
  surface.free_flow_ratio = clear * fin.fin_height / cell;
  surface.hydraulic_diameter = 2.0 * clear * fin.fin_height / around;
  surface.area_ratio = 2.0 * around * fin.depth / cell;
  surface.fin_share = fin.fin_height / around;
  surface.half_height = 0.5 * fin.fin_height;
  surface.fin_thickness = fin.fin_thickness;
  surface.fin_conductivity = fin.conductivity;
  return surface;
}

template <class G>
Surface<G> surface_of(const LouverFin<G>& fin) {
  return straight_fins(fin);
}

template <class G>
Surface<G> surface_of(const PlainFin<G>& fin) {
  return straight_fins(fin);
}

template <class G>
Surface<G> surface_of(const OffsetStripFin<G>& fin) {
  const G s = fin.spacing;
  const G h = fin.height;
  const G l = fin.strip_length;
  const G t = fin.thickness;
  const G wetted = 2.0 * (s * l + h * l + t * h) + t * s;  // of one strip's cell
  Surface<G> surface;
  surface.depth = fin.depth;
  surface.free_flow_ratio = s * h / ((s + t) * fin.layer_pitch);
  surface.hydraulic_diameter = 4.0 * s * h * l / wetted;
  surface.area_ratio = 4.0 * fin.depth / surface.hydraulic_diameter * surface.free_flow_ratio;
  surface.fin_share = (wetted - 2.0 * s * l) / wetted;
  surface.half_height = 0.5 * h;
  surface.fin_thickness = t;
  surface.fin_conductivity = fin.conductivity;
  return surface;
}

/// One branch of the louvers' law: f = shape Re^exponent ln(share Re)^decay.
template <class G>
struct LouverBranch {
  G shape;
  G exponent;
  double share;
  double decay;
};

/// The law's branch for Re <= 130.
template <class G>
LouverBranch<G> slow_branch(const LouverFin<G>& fin, const Same<G>& hydraulic_diameter) {
  using std::exp;
  using std::log;
  using std::pow;
  const G thickness = fin.fin_thickness / fin.fin_pitch;
  const G thin = log(G(pow(thickness, 0.48) + 0.9));
  const G open = log(G(1.0 + fin.fin_pitch / fin.louver_pitch));
  const G passage = hydraulic_diameter / fin.louver_pitch;
  const G pitch = fin.fin_pitch / fin.louver_length;
  const G depth = fin.depth / fin.louver_length;
  const G blocked = exp(G(-0.1167 * fin.tube_pitch / fin.tube_thickness));
  const G degrees = fin.louver_angle * (180 / std::numbers::pi);
  const G entered = pow(open, 3.04);
  const G walled = pow(thin, -1.435);
  const G narrowed = pow(passage, -3.01);
  const G spaced = pow(pitch, -0.308);
  const G lengthened = pow(depth, -0.308);
  const G turned = pow(degrees, 0.35);
  return {.shape = 14.39 * entered * walled * narrowed * spaced * lengthened * blocked * turned,
          .exponent = -0.805 * fin.fin_pitch / fin.fin_height,
          .share = 0.5,
          .decay = -3.01};
}

/// The law's branch for Re >= 230.
template <class G>
LouverBranch<G> fast_branch(const LouverFin<G>& fin, const Same<G>& hydraulic_diameter) {
  using std::exp;
  using std::log;
  using std::pow;
  using std::sqrt;
  const G degrees = fin.louver_angle * (180 / std::numbers::pi);
  const G thickness = fin.fin_thickness / fin.fin_pitch;
  const G thin = log(G(sqrt(thickness) + 0.9));
  const G gap = fin.tube_pitch - fin.tube_thickness;
  const G passage = hydraulic_diameter / fin.louver_pitch;
  const G pitch = log(G(fin.fin_pitch / fin.louver_length));
  const G tubes = fin.tube_pitch / fin.tube_thickness;
  const G louvers = fin.louver_pitch / fin.fin_pitch;
  const G dense = log(G(1.2 + pow(louvers, 1.4)));
  const G walled = pow(thin, -0.527);
  const G narrowed = pow(passage, -2.966);
  const G spaced = exp(G(-0.7931 * fin.tube_pitch / gap * pitch));
  const G blocked = pow(tubes, -0.0446);
  const G crowded = pow(dense, -3.553);
  const G turned = pow(degrees, -0.477);
  return {.shape = 4.97 * walled * narrowed * spaced * blocked * crowded * turned,
          .exponent = 0.6049 - 1.064 / pow(degrees, 0.2),
          .share = 0.3,
          .decay = -2.966};
}

/// Fanning f by this branch alone.
template <class S, class G>
S louver_fanning(const LouverBranch<G>& branch, const Same<S>& reynolds) {
  using std::exp;
  using std::log;
  using std::pow;
  const S logarithm_of_flow = log(reynolds);
  const S slope = exp(S(branch.exponent * logarithm_of_flow));
  const S part = branch.share * reynolds;
  const S logarithm = log(part);
  const S decay = pow(logarithm, branch.decay);
  const S result = branch.shape * slope * decay;
  return result;
}

/// Below this Reynolds number the slow branch runs into its own singularity; f Re is held from there on, the
/// loss of creeping flow.
inline constexpr double slowest_louver_reynolds = 30;
/// Between these Reynolds numbers the branches are joined.
inline constexpr double slow_louver_end = 130;
inline constexpr double fast_louver_begin = 230;
/// Where the fast branch begins far below the end of the slow one, f^2 drawn straight between them falls
/// faster than Re^-4 at last, and more flow would lose less. f falls by this power at most (closure of ours:
/// below 2 by enough that the loss rises).
inline constexpr double steepest_louver_join = 1.8;
/// f where the fast branch begins over f where the slow one ends that this power allows: (130/230)^1.8.
inline constexpr double least_louver_step = 0.3582;

/// How the law's two branches meet: f at Re 230 over f at Re 130.
template <class G>
G louver_step(const LouverBranch<G>& slow, const LouverBranch<G>& fast) {
  return louver_fanning<G>(fast, G(fast_louver_begin)) / louver_fanning<G>(slow, G(slow_louver_end));
}

/// Fanning f over all Re on the louver pitch: the two branches' squares mixed by w = 3.6 - 0.02 Re over 130
/// to 230, or falling by `steepest_louver_join` to where the fast branch begins. A fast branch that lies too
/// low even for this is lifted. `louver_friction_source`.
template <class S, class G>
S louver_fanning(const LouverFin<G>& fin, const Same<G>& hydraulic_diameter, const Same<S>& reynolds) {
  using std::sqrt;
  const LouverBranch<G> slow = slow_branch<G>(fin, hydraulic_diameter);
  LouverBranch<G> fast = fast_branch<G>(fin, hydraulic_diameter);
  const G lift = larger<G>(G(1.0), G(least_louver_step / louver_step<G>(slow, fast)));
  fast.shape = fast.shape * lift;
  const G behind = louver_fanning<G>(fast, G(fast_louver_begin));
  const S crept = larger<S>(reynolds, S(slowest_louver_reynolds));
  const S below = smaller<S>(crept, S(slow_louver_end));
  const S beyond = larger<S>(reynolds, S(fast_louver_begin));
  const S between = smaller<S>(larger<S>(reynolds, S(slow_louver_end)), S(fast_louver_begin));
  const S weight = 3.6 - 0.02 * between;
  const S low = louver_fanning<S>(slow, below);
  const S high = louver_fanning<S>(fast, beyond);
  const S mixed = 0.5 * ((1.0 + weight) * low * low + (1.0 - weight) * high * high);
  const S straight = sqrt(mixed);
  const S steepest = behind * power<S>(S(fast_louver_begin / between), S(steepest_louver_join));
  const S lower = smaller<S>(straight, steepest);
  const S joined = select<S>(above<S>(reynolds, S(slow_louver_end)), lower, straight);
  const S result = joined * crept / reynolds;
  return result;
}

/// factor alpha^a delta^b gamma^c of offset strips.
template <class G>
G strip_shape(const OffsetStripFin<G>& fin, double factor, double a, double b, double c) {
  using std::pow;
  const G alpha = fin.spacing / fin.height;
  const G delta = fin.thickness / fin.strip_length;
  const G gamma = fin.thickness / fin.spacing;
  const G first = pow(alpha, a);
  const G second = pow(delta, b);
  const G third = pow(gamma, c);
  const G result = factor * first * second * third;
  return result;
}

/// Fanning f of offset strips; `reynolds` on the hydraulic diameter 4 s h l/(2 (s l + h l + t h) + t s), one
/// expression from laminar to turbulent. `offset_strip_source`.
template <class S, class G>
S offset_strip_fanning(const OffsetStripFin<G>& fin, const Same<S>& reynolds) {
  using std::pow;
  const S drag = 1.0 + strip_shape<G>(fin, 7.669e-8, 0.920, 3.767, 0.236) * pow(reynolds, 4.429);
  const S slope = pow(reynolds, -0.7422);
  const S turbulent = pow(drag, 0.1);
  const S result = strip_shape<G>(fin, 9.6243, -0.1856, 0.3053, -0.2659) * slope * turbulent;
  return result;
}

/// Clear passage of a plain fin, short over long side.
template <class G>
G passage_aspect(const PlainFin<G>& fin) {
  const G clear = fin.fin_pitch - fin.fin_thickness;
  const G aspect = smaller<G>(clear, fin.fin_height) / larger<G>(clear, fin.fin_height);
  return aspect;
}

/// Fanning f of straight rectangular passages: Churchill with the laminar level of the aspect ratio, and the
/// developing flow's K of 1.2 laminar, 0.1 turbulent. Band 10 % laminar, 15 % turbulent (from memory).
template <class S, class G>
S plain_fanning(const PlainFin<G>& fin, const Same<S>& reynolds) {
  const Surface<G> surface = surface_of(fin);
  const G shortness = surface.hydraulic_diameter / fin.depth;
  const G laminar_product = rectangle_laminar<G>(passage_aspect<G>(fin));
  const Transition<S> flow = transition<S>(reynolds);
  const S developing = 1.2 - 1.1 * flow.turbulent_share;
  const S darcy = darcy_friction<S>(reynolds, S(0.0), S(laminar_product));
  const S result = 0.25 * (darcy + developing * shortness);
  return result;
}

/// Length on which a fin's law has its Reynolds number: the louver pitch, of other fins the hydraulic
/// diameter.
template <class G>
G reynolds_length(const LouverFin<G>& fin) {
  return fin.louver_pitch;
}

template <class G, template <class> class Fin>
G reynolds_length(const Fin<G>& fin) {
  return surface_of(fin).hydraulic_diameter;
}

/// Reynolds number in the passages; `face_flux` kg/(s m2).
template <class S, class G, template <class> class Fin>
S fin_reynolds(const Fin<G>& fin, const Same<S>& face_flux, const Same<S>& viscosity) {
  const G sigma = surface_of(fin).free_flow_ratio;
  const S result = face_flux * reynolds_length(fin) / (sigma * viscosity);
  return result;
}

template <class S, class G>
S fanning_of(const LouverFin<G>& fin, const Same<S>& reynolds) {
  return louver_fanning<S>(fin, surface_of(fin).hydraulic_diameter, reynolds);
}

template <class S, class G>
S fanning_of(const OffsetStripFin<G>& fin, const Same<S>& reynolds) {
  return offset_strip_fanning<S>(fin, reynolds);
}

template <class S, class G>
S fanning_of(const PlainFin<G>& fin, const Same<S>& reynolds) {
  return plain_fanning<S>(fin, reynolds);
}

/// `louver_step` of louvers; other fins' laws are of one piece.
template <class G>
G branch_step(const LouverFin<G>& fin) {
  const G diameter = surface_of(fin).hydraulic_diameter;
  return louver_step<G>(slow_branch<G>(fin, diameter), fast_branch<G>(fin, diameter));
}

template <class G, template <class> class Fin>
G branch_step(const Fin<G>& /*fin*/) {
  return G(1.0);
}

/// The matrix of a finned core with this Fanning factor: ends by its free-flow ratio.
template <class S, class G>
Matrix<S> finned_matrix(const Surface<G>& surface, const Same<S>& fanning) {
  Matrix<S> matrix;
  matrix.free_flow_ratio = S(surface.free_flow_ratio);
  matrix.entrance = entrance_coefficient<S>(matrix.free_flow_ratio);
  matrix.exit = exit_coefficient<S>(matrix.free_flow_ratio);
  matrix.friction = fanning * (4.0 * surface.depth / surface.hydraulic_diameter);
  return matrix;
}

}  // namespace corefeed::losses
