// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/diffuser.hpp"
#include "corefeed/losses/fins.hpp"
#include "corefeed/losses/law.hpp"

/// The air side of a core: matrix loss, heating, and what its neighbors read of it.
namespace corefeed::losses::core {

enum : std::size_t {
  face_area,
  linear,
  quadratic,
  density,
  viscosity,
  tested_points,
  tested_density,
  tested_viscosity,
  tested_by,
  tested_with,
  permeability,
  forchheimer_coefficient,
  porous_depth,
  fin_style,
  fin_pitch,
  fin_height,
  fin_thickness,
  tube_pitch,
  tube_thickness,
  fin_depth,
  louvre_pitch,
  louvre_angle,
  louvre_length,
  strip_length,
  fin_conductivity,
  fin_loss_factor,
  free_flow_ratio,
  exit_coefficient,
  face_maldistribution,
  incidence,
  incidence_factor,
  shroud_area,
  fan_area,
  fan_gap,
  air_value,
  air_flow,
  air_exponent,
  liquid_value,
  liquid_flow,
  liquid_exponent,
  heat_points,
  heat_density,
  heat_liquid_temperature,
  heat_glycol_share,
  heat_liquid_exponent,
  heat_by,
  heat_transfer,
  arrangement,
  liquid_share,
  loop,
  part_of,
  share
};
enum FinStyle { louvred, offset_strip, plain };

/// Share of the whole core that this element is, of its area, liquid and conductances.
template <class S>
S part(const Input<S>& in) {
  return in.has(share) ? in[share] : S(1.0);
}

template <class S>
S area_of(const Input<S>& in) {
  const S area = in[face_area] * part<S>(in);
  return area;
}

/// Air on both sides of the matrix. `in` and `out` follow the flow.
template <class S>
struct Face {
  S flux;       ///< mass flux on the face with the sign of the flow, kg/(s m2)
  S magnitude;  ///< its rounded magnitude
  S density_in;
  S density_out;
  S density_mean;
  S temperature_mean;
};

template <class S>
Face<S> face_state(const Input<S>& in) {
  const Mask<S> forward = in.forward();
  const double ambient = in.outside->pressure;
  const double constant = in.outside->air.gas_constant;
  const S before = select<S>(forward, in.pressure_from, in.pressure_to);
  const S behind = select<S>(forward, in.pressure_to, in.pressure_from);
  const S cold = select<S>(forward, in.temperature_from, in.temperature_to);
  // A trial state of the solver may be unphysical; the density of a tenth of ambient pressure holds it.
  const S pressure_in = larger<S>(S(before + ambient), S(0.1 * ambient));
  const S pressure_out = larger<S>(S(behind + ambient), S(0.1 * ambient));
  const S hot = larger<S>(in.temperature_out, S(100.0));
  Face<S> face;
  face.flux = in.mass_flow / area_of<S>(in);
  face.magnitude = rounded_magnitude<S>(face.flux, still_velocity);
  face.density_in = pressure_in / (constant * cold);
  face.density_out = pressure_out / (constant * hot);
  face.density_mean = 0.5 * (face.density_in + face.density_out);
  face.temperature_mean = 0.5 * (cold + hot);
  return face;
}

/// Calls `use` with the fin of the core's style.
template <class S, class Use>
auto with_fin(const Input<S>& in, const Use& use) {
  switch (in.choice(fin_style)) {
    case offset_strip:
      return use(OffsetStripFin<S>{.spacing = in[fin_pitch] - in[fin_thickness],
                                   .height = in[fin_height],
                                   .strip_length = in[strip_length],
                                   .thickness = in[fin_thickness],
                                   .layer_pitch = in[tube_pitch],
                                   .depth = in[fin_depth],
                                   .conductivity = in[fin_conductivity]});
    case plain:
      return use(PlainFin<S>{.fin_pitch = in[fin_pitch],
                             .fin_height = in[fin_height],
                             .fin_thickness = in[fin_thickness],
                             .tube_pitch = in[tube_pitch],
                             .depth = in[fin_depth],
                             .conductivity = in[fin_conductivity]});
    default:
      return use(LouverFin<S>{.louver_pitch = in[louvre_pitch],
                              .louver_angle = in[louvre_angle],
                              .louver_length = in[louvre_length],
                              .fin_pitch = in[fin_pitch],
                              .fin_height = in[fin_height],
                              .fin_thickness = in[fin_thickness],
                              .tube_pitch = in[tube_pitch],
                              .tube_thickness = in[tube_thickness],
                              .depth = in[fin_depth],
                              .conductivity = in[fin_conductivity]});
  }
}

/// Whether the loss comes from the fins: a test or porous coefficients beat them.
template <class S>
bool loses_by_fins(const Input<S>& in) {
  return in.has(fin_pitch) && !in.has(linear) && !in.has(tested_points) && !in.has(permeability);
}

template <class S>
struct MatrixLoss {
  S linear;     ///< Pa, with the sign of the flow
  S quadratic;  ///< Pa
  S heating;    ///< Pa, acceleration of the heated air
};

/// Ends and walls of the finned passages. Friction of interrupted fins goes with the power 1.5 of the flow
/// (f with Re^-0.5); 3/8 of it as a square law and the rest as a linear one answer an uneven face alike.
template <class S>
MatrixLoss<S> finned_loss(const Input<S>& in, const Face<S>& face) {
  const S viscosity_now = in.outside->air.viscosity(face.temperature_mean);
  Matrix<S> matrix = with_fin<S>(in, [&](const auto& fin) {
    const S reynolds = fin_reynolds<S>(fin, face.magnitude, viscosity_now);
    return finned_matrix<S>(surface_of(fin), S(in[fin_loss_factor] * fanning_of<S>(fin, reynolds)));
  });
  if (in.has(free_flow_ratio)) matrix.free_flow_ratio = in[free_flow_ratio];
  if (in.has(exit_coefficient)) matrix.exit = in[exit_coefficient];
  const Densities<S> densities{face.density_in, face.density_out, face.density_mean};
  const S direction = face.flux / face.magnitude;
  const S friction = friction_drop<S>(matrix, face.magnitude, face.density_mean);
  const S heated = heating_drop<S>(matrix, face.magnitude, densities);
  const S ends = total_drop<S>(matrix, face.magnitude, densities) - heated - friction;
  MatrixLoss<S> loss;
  loss.linear = direction * 0.625 * friction;
  loss.quadratic = direction * (0.375 * friction + ends);
  loss.heating = direction * heated;
  return loss;
}

/// a (mu_m/mu_ref) v_m + b (rho_m/rho_ref) v_m^2 with v_m = G/rho_m, of tested or porous coefficients, and
/// the heating term (Kays & London, total-pressure form).
template <class S>
MatrixLoss<S> matrix_loss(const Input<S>& in, const Face<S>& face) {
  if (loses_by_fins<S>(in)) return finned_loss<S>(in, face);
  const S speed = face.flux / face.density_mean;
  const S magnitude = face.magnitude / face.density_mean;
  const S viscosity_now = in.outside->air.viscosity(face.temperature_mean);
  MatrixLoss<S> loss;
  if (in.has(permeability)) {
    const FaceLoss<S> medium = porous_loss<S>(in[permeability], in[forchheimer_coefficient], in[porous_depth],
                                              face.density_mean, viscosity_now);
    loss.linear = medium.linear * speed;
    loss.quadratic = medium.quadratic * speed * magnitude;
  } else {
    const bool points = in.has(tested_points);
    loss.linear = in[linear] * (viscosity_now / in[points ? tested_viscosity : viscosity]) * speed;
    loss.quadratic =
        in[quadratic] * face.density_mean / in[points ? tested_density : density] * speed * magnitude;
  }
  const Matrix<S> passages{in[free_flow_ratio], S(0.0), in[exit_coefficient], S(0.0)};
  const Densities<S> densities{face.density_in, face.density_out, face.density_mean};
  const S direction = face.flux / face.magnitude;
  loss.heating = direction * heating_drop<S>(passages, face.magnitude, densities);
  return loss;
}

/// K_c: matrix and heating loss over the face's dynamic head before the core.
template <class S>
S face_loss(const Face<S>& face, const MatrixLoss<S>& matrix, const Mask<S>& forward) {
  const S head = face.flux * face.magnitude / (2.0 * face.density_in);
  const S lost = matrix.linear + matrix.quadratic + matrix.heating;
  // Both vanish with the flow; at rest the linear term wins and K_c is large but finite.
  const S floor_head = select<S>(forward, S(1e-9), S(-1e-9));
  const S floor_lost = floor_head * 50.0;
  const S loss = (lost + floor_lost) / (head + floor_head);
  return loss;
}

template <class S>
S face_loss(const Input<S>& in) {
  const Face<S> face = face_state<S>(in);
  return face_loss<S>(face, matrix_loss<S>(in, face), in.forward());
}

/// K_c as it spreads the stream over the face. A core that cools its air hard gains total pressure by that,
/// and the formulas of spreading have poles at negative K_c: it spreads as one without loss.
template <class S>
S spreading_loss(const Same<S>& core_loss) {
  return larger<S>(core_loss, S(0.0));
}

/// Unevenness that a fan makes of the face it stands close behind, where its disc is smaller than the shroud:
/// 0.5 sqrt(A_s/A_fan - 1) exp(-gap/(0.15 D)) (closure of ours).
template <class S>
S fan_shadow(const Input<S>& in) {
  using std::exp;
  using std::sqrt;
  const S excess = larger<S>(S(in[shroud_area] / in[fan_area] - 1.0), S(1e-12));
  const S decay = exp(S(-in[fan_gap] / (0.15 * equivalent_diameter<S>(in[fan_area]))));
  const S shadow = 0.5 * sqrt(excess) * decay;
  return shadow;
}

/// g_c, rms over mean of the face velocity: given, or from the diffuser before or the fan behind the core,
/// whichever is worse, by g_c = g_0/2 (2 + K_c)/(1 + K_c) (Taylor & Batchelor 1949 for a resistance that
/// straightens the flow).
template <class S>
S unevenness(const Input<S>& in, const Same<S>& core_loss) {
  S uneven(0.0);
  if (in.fed_by != nullptr) {
    uneven = diffuser::jet_unevenness<S>(*in.fed_by, spreading_loss<S>(core_loss));
  }
  if (in.has(fan_area)) uneven = larger<S>(uneven, fan_shadow<S>(in));
  const S resistance = spreading_loss<S>(core_loss);
  const S spread = (2.0 + resistance) / (1.0 + resistance);
  const S result = 0.5 * uneven * spread;
  return result;
}

/// The unevenness that loss and heat reckon with: the given one where it stands, 0 switches it off.
template <class S>
S charged_unevenness(const Input<S>& in, const Same<S>& computed) {
  return in.has(face_maldistribution) ? in[face_maldistribution] : computed;
}

}  // namespace corefeed::losses::core
