// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

/// Sudden and conical changes of area, on the dynamic head of the smaller section.
namespace corefeed::losses {

/// Sudden expansion, Borda-Carnot: (1 - n)^2 with n = small area / large area.
template <class S>
S sudden_expansion(const Same<S>& ratio) {
  const S blocked = 1.0 - ratio;
  return second_power<S>(blocked);
}

/// Entrance flush in a wall with edge radius r on hole diameter D: 0.03 + 0.47 * 10^(-7.7 r/D).
/// Idelchik, Diagram 3-4; agrees with Idelchik & Fried, Flow Resistance, 1989, p. 52 within 0.02.
template <class S>
S rounded_entrance(const Same<S>& radius_ratio) {
  using std::exp;
  const double slope = -7.7 * 2.302585092994046;
  const S exponent = slope * radius_ratio;
  const S decay = exp(exponent);
  const S loss = 0.03 + 0.47 * decay;
  return loss;
}

/// Sudden contraction with edge radius: rounded_entrance (0.5 when sharp) * (1 - n)^0.75. Idelchik, Diagram
/// 4-9.
template <class S>
S sudden_contraction(const Same<S>& ratio, const Same<S>& radius_ratio) {
  using std::pow;
  // The power 3/4 has no slope at equal areas; a contraction of a millionth is none.
  const S blocked = larger<S>(S(1.0 - ratio), S(1e-6));
  const S edge = rounded_entrance<S>(radius_ratio);
  const S root = pow(blocked, 0.75);
  const S loss = edge * root;
  return loss;
}

/// Conical contraction of total angle `angle`: Idelchik, Diagram 5-23.
template <class S>
S conical_contraction(const Same<S>& ratio, const Same<S>& angle) {
  constexpr double pi = 3.14159265358979323846;
  const S shape = (((-0.0125 * ratio + 0.0224) * ratio - 0.00723) * ratio + 0.00444) * ratio - 0.00745;
  const S turn = ((angle - 2.0 * pi) * angle - 10.0) * angle;
  const S loss = shape * turn;
  return loss;
}

}  // namespace corefeed::losses
