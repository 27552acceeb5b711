// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/fluids/source.hpp"
#include "corefeed/losses/scalar.hpp"

/// Pressure drop of a matrix of passages between two equal ducts. Kays & London, Compact Heat Exchangers,
/// 1984, eq. 2-26. Private to the library's sources.
namespace corefeed::losses {

inline constexpr Source core_drop_source{"Kays & London 1984, Compact Heat Exchangers, eq. 2-26",
                                         "Mach number in the passages below 0.2", 0.03, Tag::read};
inline constexpr Source end_loss_source{"fits to Kays & London 1984, fig. 5-2 to 5-5, Re infinite",
                                        "interrupted fins, free-flow ratio 0.3 to 1", 0.20, Tag::from_memory};

/// K_c = 0.4 (1 - sigma^2) on the dynamic head in the passages. `end_loss_source`.
template <class S>
S entrance_coefficient(const Same<S>& free_flow_ratio) {
  const S result = 0.4 * (1.0 - free_flow_ratio * free_flow_ratio);
  return result;
}

/// K_e = (1 - sigma)^2 on the dynamic head in the passages. `end_loss_source`.
template <class S>
S exit_coefficient(const Same<S>& free_flow_ratio) {
  const S blocked = 1.0 - free_flow_ratio;
  const S result = blocked * blocked;
  return result;
}

/// A matrix as its pressure drop sees it.
template <class S>
struct Matrix {
  S free_flow_ratio;  ///< sigma, passages over face
  S entrance;         ///< K_c
  S exit;             ///< K_e
  S friction;         ///< f_F A/A_c, Fanning; A/A_c = 4 L/D_h
};

/// Densities, kg/m3, before, behind and in the middle of the matrix.
template <class S>
struct Densities {
  S before;
  S behind;
  S mean;
};

/// What the passages' walls rub off, Pa: G_c^2/2 f A/(A_c rho_m).
template <class S>
S friction_drop(const Matrix<S>& matrix, const Same<S>& face_flux, const Same<S>& mean_density) {
  const S square = matrix.free_flow_ratio * matrix.free_flow_ratio;
  const S result = face_flux * face_flux / (2.0 * square) * matrix.friction / mean_density;
  return result;
}

/// Static pressure before minus behind, Pa; `face_flux` kg/(s m2), positive. With K = K_c and K_e:
/// G_c^2/2 [(K_c + 1 - s^2)/rho_1 + 2 (1/rho_2 - 1/rho_1) + f A/(A_c rho_m) - (1 - s^2 - K_e)/rho_2].
template <class S>
S static_drop(const Matrix<S>& matrix, const Same<S>& face_flux, const Densities<S>& densities) {
  const S square = matrix.free_flow_ratio * matrix.free_flow_ratio;
  const S narrowing = 1.0 - square;
  const S head = face_flux * face_flux / (2.0 * square);
  const S entering = (matrix.entrance + narrowing) / densities.before;
  const S speeding = 2.0 * (1.0 / densities.behind - 1.0 / densities.before);
  const S leaving = (narrowing - matrix.exit) / densities.behind;
  const S result =
      head * (entering + speeding - leaving) + friction_drop<S>(matrix, face_flux, densities.mean);
  return result;
}

/// Total pressure before minus behind, Pa: the static drop and the change of G^2/(2 rho) on the face. Equal
/// to `cold_drop` with the end losses at rho_1, plus `heating_drop`.
template <class S>
S total_drop(const Matrix<S>& matrix, const Same<S>& face_flux, const Densities<S>& densities) {
  const S fall = static_drop<S>(matrix, face_flux, densities);
  const S growth = 1.0 / densities.behind - 1.0 / densities.before;
  const S result = fall - 0.5 * face_flux * face_flux * growth;
  return result;
}

/// Loss of the matrix at one density, Pa.
template <class S>
S cold_drop(const Matrix<S>& matrix, const Same<S>& face_flux, const Same<S>& density) {
  return total_drop<S>(matrix, face_flux, Densities<S>{density, density, density});
}

/// What heating adds to the loss of total pressure: (1 + K_e) G^2/(2 s^2) (1/rho_2 - 1/rho_1). Without walls
/// (s = 1, K_e = 0) it is the loss of heat addition in a straight duct at low speed (Rayleigh).
template <class S>
S heating_drop(const Matrix<S>& matrix, const Same<S>& face_flux, const Densities<S>& densities) {
  const S growth = 1.0 / densities.behind - 1.0 / densities.before;
  const S passages = matrix.free_flow_ratio * matrix.free_flow_ratio;
  const S result = (1.0 + matrix.exit) * face_flux * face_flux / (2.0 * passages) * growth;
  return result;
}

/// Loss dp = linear v + quadratic v^2 of a face velocity v at reference density and viscosity.
template <class S>
struct FaceLoss {
  S linear;     ///< Pa s/m
  S quadratic;  ///< Pa s2/m2
};

/// Darcy-Forchheimer, dp/L = mu v/k + F rho v^2 on the face velocity, without a factor 1/2; `permeability`
/// m2, `forchheimer` 1/m, `depth` m.
template <class S>
FaceLoss<S> porous_loss(const Same<S>& permeability, const Same<S>& forchheimer, const Same<S>& depth,
                        const Same<S>& density, const Same<S>& viscosity) {
  FaceLoss<S> loss;
  loss.linear = viscosity * depth / permeability;
  loss.quadratic = forchheimer * density * depth;
  return loss;
}

}  // namespace corefeed::losses
