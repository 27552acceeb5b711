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
  // The section's own laminar level enters as a Reynolds number of the circle with the same f.
  const S re = reynolds * (64.0 / laminar_product);
  const S ratio = 7.0 / re;
  const S smooth = pow(ratio, 0.9);
  const S wall = smooth + 0.27 * relative_roughness;
  const S logarithm = log(wall);
  const S base = -2.457 * logarithm;
  const S square_base = base * base;
  const S rough = pow(square_base, 8.0);
  const S transition_ratio = 37530.0 / re;
  const S transition = pow(transition_ratio, 16.0);
  const S sum = rough + transition;
  const S turbulent = pow(sum, -1.5);
  const S laminar_ratio = 8.0 / re;
  const S laminar = pow(laminar_ratio, 12.0);
  const S both = laminar + turbulent;
  const S root = pow(both, 1.0 / 12.0);
  const S factor = 8.0 * root;
  return factor;
}

}  // namespace corefeed::losses
