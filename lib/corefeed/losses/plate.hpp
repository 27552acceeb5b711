// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

#include "corefeed/losses/scalar.hpp"

namespace corefeed::losses {

/// Sharp-edged perforated plate or grille on the approach head, open fraction f:
/// K = (0.707 sqrt(1 - f) + 1 - f)^2 / f^2. Idelchik, Diagram 8-1. Band 15 %.
template <class S>
S plate_loss(const Same<S>& open_fraction) {
  using std::sqrt;
  // At f = 1 the root has no finite slope; a plate of one part in 1e12 is none.
  const S solid = larger<S>(S(1.0 - open_fraction), S(1e-12));
  const S root = sqrt(solid);
  const S numerator = 0.707 * root + solid;
  const S quotient = numerator / open_fraction;
  return second_power<S>(quotient);
}

}  // namespace corefeed::losses
