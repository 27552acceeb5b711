// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

#include "corefeed/losses/scalar.hpp"

namespace corefeed::losses {

/// Darcy friction factor for every Reynolds number: 64/Re below transition, rough turbulent above, one smooth
/// expression. Churchill 1977, Chem. Eng. 84(24):91. Band 3 %, 25 % between Re 2100 and 4000.
/// `laminar_product` is f Re of the section's fully developed laminar flow, 64 for a circle.
template <class S>
S darcy_friction(const Same<S>& reynolds, const Same<S>& relative_roughness,
                 const Same<S>& laminar_product = S(64.0)) {
  using std::log;
  using std::pow;
  using std::sqrt;
  // The section's own laminar level enters as a Reynolds number of the circle with the same f.
  const S re = reynolds * (64.0 / laminar_product);
  const S ratio = 7.0 / re;
  const S smooth = pow(ratio, 0.9);
  const S wall = smooth + 0.27 * relative_roughness;
  const S logarithm = log(wall);
  const S base = -2.457 * logarithm;
  // The formula's powers 16, 12 and 3/2 are products and a root: a general power takes ten times as long.
  const S rough = fourth_power<S>(fourth_power<S>(base));
  const S transition_ratio = 37530.0 / re;
  const S transition = fourth_power<S>(fourth_power<S>(transition_ratio));
  const S sum = rough + transition;
  const S turbulent = 1.0 / (sum * sqrt(sum));
  const S laminar_ratio = 8.0 / re;
  const S laminar_cube = laminar_ratio * laminar_ratio * laminar_ratio;
  const S laminar = fourth_power<S>(laminar_cube);
  const S both = laminar + turbulent;
  const S root = pow(both, 1.0 / 12.0);
  const S factor = 8.0 * root;
  return factor;
}

/// f Re of developed laminar flow in a rectangle, a = short over long side:
/// 96 / {(1 + a)^2 [1 - (192 a / pi^5) sum over odd n of tanh(n pi / (2 a)) / n^5]}. Exact series; Shah &
/// London, Laminar Flow Forced Convection in Ducts, 1978.
template <class S>
S rectangle_laminar(const Same<S>& aspect) {
  using std::tanh;
  constexpr double pi = 3.14159265358979323846;
  const S a = larger<S>(aspect, S(1e-6));
  S sum(0.0);
  for (int n = 1; n <= 9; n += 2) sum += tanh(S(0.5 * n * pi / a)) / (1.0 * n * n * n * n * n);
  const S share = 1.0 - 192.0 * a / (pi * pi * pi * pi * pi) * sum;
  const S around = 1.0 + a;
  const S product = 96.0 / (around * around * share);
  return product;
}

/// f Re of developed laminar flow in a concentric annulus, k = inner over outer radius:
/// 64 (1 - k)^2 / [1 + k^2 + (1 - k^2) / ln k]. Exact; Shah & London 1978.
template <class S>
S annulus_laminar(const Same<S>& radius_ratio) {
  using std::log;
  // The form is 0/0 for a slot; closer walls than 1 - k = 1e-3 are one to 1e-7.
  const S k = held_between<S>(radius_ratio, 1e-9, 0.999);
  const S wall = 1.0 - k;
  const S below = 1.0 + k * k + (1.0 - k * k) / log(k);
  const S product = 64.0 * wall * wall / below;
  return product;
}

}  // namespace corefeed::losses
