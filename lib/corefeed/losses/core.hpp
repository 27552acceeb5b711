// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/diffuser.hpp"
#include "corefeed/losses/law.hpp"

/// The air side of a core: matrix loss, heating, and what its neighbors read of it.
namespace corefeed::losses::core {

enum : std::size_t {
  face_area,
  linear,
  quadratic,
  density,
  viscosity,
  free_flow_ratio,
  exit_coefficient,
  face_maldistribution,
  incidence,
  incidence_factor,
  air_value,
  air_flow,
  air_exponent,
  liquid_value,
  liquid_flow,
  liquid_exponent,
  heat_transfer,
  arrangement,
  liquid_share,
  loop
};

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
  face.flux = in.mass_flow / in[face_area];
  face.magnitude = rounded_magnitude<S>(face.flux, still_velocity);
  face.density_in = pressure_in / (constant * cold);
  face.density_out = pressure_out / (constant * hot);
  face.density_mean = 0.5 * (face.density_in + face.density_out);
  face.temperature_mean = 0.5 * (cold + hot);
  return face;
}

template <class S>
struct Matrix {
  S linear;     ///< Pa, with the sign of the flow
  S quadratic;  ///< Pa
  S heating;    ///< Pa, acceleration of the heated air
};

/// dp = a (mu_m/mu_ref) v_m + b (rho_m/rho_ref) v_m^2 with v_m = G/rho_m, and the heating term
/// (1 + K_e) G^2/(2 sigma^2) (1/rho_out - 1/rho_in) (Kays & London, total-pressure form).
template <class S>
Matrix<S> matrix_loss(const Input<S>& in, const Face<S>& face) {
  Matrix<S> matrix;
  const S speed = face.flux / face.density_mean;
  const S magnitude = face.magnitude / face.density_mean;
  const S viscosity_ratio = in.outside->air.viscosity(face.temperature_mean) / in[viscosity];
  matrix.linear = in[linear] * viscosity_ratio * speed;
  matrix.quadratic = in[quadratic] * face.density_mean / in[density] * speed * magnitude;
  const S passages = in[free_flow_ratio] * in[free_flow_ratio];
  const S growth = 1.0 / face.density_out - 1.0 / face.density_in;
  matrix.heating = (1.0 + in[exit_coefficient]) * face.flux * face.magnitude / (2.0 * passages) * growth;
  return matrix;
}

/// K_c: matrix and heating loss over the face's dynamic head before the core.
template <class S>
S face_loss(const Input<S>& in, const Face<S>& face, const Matrix<S>& matrix) {
  const S head = face.flux * face.magnitude / (2.0 * face.density_in);
  const S lost = matrix.linear + matrix.quadratic + matrix.heating;
  // Both vanish with the flow; at rest the linear term wins and K_c is large but finite.
  const S floor_head = select<S>(in.forward(), S(1e-9), S(-1e-9));
  const S floor_lost = floor_head * 50.0;
  const S loss = (lost + floor_lost) / (head + floor_head);
  return loss;
}

template <class S>
S face_loss(const Input<S>& in) {
  const Face<S> face = face_state<S>(in);
  return face_loss<S>(in, face, matrix_loss<S>(in, face));
}

/// g_c, rms over mean of the face velocity: given, or from the diffuser before the core by
/// g_c = g_0/2 (2 + K_c)/(1 + K_c) (Taylor & Batchelor 1949 for a resistance that straightens the flow).
template <class S>
S unevenness(const Input<S>& in, const Same<S>& core_loss) {
  if (in.fed_by == nullptr) return S(0.0);
  const S jet = diffuser::jet_unevenness<S>(*in.fed_by, core_loss);
  const S spread = (2.0 + core_loss) / (1.0 + core_loss);
  const S result = 0.5 * jet * spread;
  return result;
}

/// The unevenness that loss and heat reckon with: the given one where it stands, 0 switches it off.
template <class S>
S charged_unevenness(const Input<S>& in, const Same<S>& computed) {
  return in.has(face_maldistribution) ? in[face_maldistribution] : computed;
}

}  // namespace corefeed::losses::core
