// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

/// Loss coefficients of a duct's entry from still air, on the duct's dynamic head. Tables of Idelchik,
/// Handbook of Hydraulic Resistance, ch. 3, as ASHRAE, Principles of HVAC, 2013, Table 9-4, prints them.
namespace corefeed::losses {

/// Bellmouth in free air, radius over diameter: Diagram 3-4, fitting 1-2. A lip flush in a wall is
/// `rounded_entrance` (area_change.hpp).
template <class S>
S free_bellmouth(const Same<S>& radius_ratio) {
  static constexpr std::array<std::array<double, 2>, 12> table{{{0.00, 1.00},
                                                                {0.01, 0.87},
                                                                {0.02, 0.74},
                                                                {0.03, 0.61},
                                                                {0.04, 0.51},
                                                                {0.05, 0.40},
                                                                {0.06, 0.32},
                                                                {0.08, 0.20},
                                                                {0.10, 0.15},
                                                                {0.12, 0.10},
                                                                {0.16, 0.06},
                                                                {0.20, 0.03}}};
  return interpolate<S>(table, radius_ratio);
}

/// A duct's end that reaches out of a wall: wall thickness of the duct and reach, over diameter. Diagram 3-1,
/// fitting 1-1.
template <class S>
S projecting_end(const Same<S>& thickness_ratio, const Same<S>& projection_ratio) {
  static constexpr Chart<3, 8> chart{{0.0, 0.02, 0.05},
                                     {0.0, 0.002, 0.01, 0.05, 0.10, 0.20, 0.30, 0.50},
                                     {{{0.50, 0.57, 0.68, 0.80, 0.86, 0.92, 0.97, 1.00},
                                       {0.50, 0.51, 0.52, 0.55, 0.60, 0.66, 0.69, 0.72},
                                       {0.50, 0.50, 0.50, 0.50, 0.50, 0.50, 0.50, 0.50}}}};
  return interpolate<S>(chart, thickness_ratio, projection_ratio);
}

inline constexpr double entry_degree = 3.14159265358979323846 / 180.0;
inline constexpr std::array<double, 9> entry_angles{0.0,
                                                    10 * entry_degree,
                                                    20 * entry_degree,
                                                    30 * entry_degree,
                                                    40 * entry_degree,
                                                    60 * entry_degree,
                                                    100 * entry_degree,
                                                    140 * entry_degree,
                                                    180 * entry_degree};

/// Conical mouth in free air: its length over the duct's diameter and total angle. Diagram 3-6, fitting 1-4.
template <class S>
S free_cone(const Same<S>& length_ratio, const Same<S>& angle) {
  static constexpr Chart<9, 9> chart{{0.0, 0.025, 0.05, 0.075, 0.10, 0.15, 0.25, 0.60, 1.0},
                                     entry_angles,
                                     {{{1.0, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00},
                                       {1.0, 0.96, 0.93, 0.90, 0.86, 0.80, 0.69, 0.59, 0.50},
                                       {1.0, 0.93, 0.86, 0.80, 0.75, 0.67, 0.58, 0.53, 0.50},
                                       {1.0, 0.87, 0.75, 0.65, 0.58, 0.50, 0.48, 0.49, 0.50},
                                       {1.0, 0.80, 0.67, 0.55, 0.48, 0.41, 0.41, 0.44, 0.50},
                                       {1.0, 0.76, 0.58, 0.43, 0.33, 0.25, 0.27, 0.38, 0.50},
                                       {1.0, 0.68, 0.45, 0.30, 0.22, 0.17, 0.22, 0.34, 0.50},
                                       {1.0, 0.46, 0.27, 0.18, 0.14, 0.13, 0.21, 0.33, 0.50},
                                       {1.0, 0.32, 0.20, 0.14, 0.11, 0.10, 0.18, 0.30, 0.50}}}};
  return interpolate<S>(chart, length_ratio, angle);
}

/// Conical mouth flush in a wall. Diagram 3-7, fitting 1-5.
template <class S>
S flush_cone(const Same<S>& length_ratio, const Same<S>& angle) {
  static constexpr Chart<7, 9> chart{{0.0, 0.025, 0.05, 0.075, 0.10, 0.15, 0.60},
                                     entry_angles,
                                     {{{0.50, 0.50, 0.50, 0.50, 0.50, 0.50, 0.50, 0.50, 0.50},
                                       {0.50, 0.47, 0.45, 0.43, 0.41, 0.40, 0.42, 0.45, 0.50},
                                       {0.50, 0.45, 0.41, 0.36, 0.33, 0.30, 0.35, 0.42, 0.50},
                                       {0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.30, 0.40, 0.50},
                                       {0.50, 0.39, 0.32, 0.25, 0.22, 0.18, 0.27, 0.38, 0.50},
                                       {0.50, 0.37, 0.27, 0.20, 0.16, 0.15, 0.25, 0.37, 0.50},
                                       {0.50, 0.27, 0.18, 0.13, 0.11, 0.12, 0.23, 0.36, 0.50}}}};
  return interpolate<S>(chart, length_ratio, angle);
}

}  // namespace corefeed::losses
