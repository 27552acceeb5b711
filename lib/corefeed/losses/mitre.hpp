// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

namespace corefeed::losses {

/// Mitre bend of square section: K = A (0.95 sin^2(d/2) + 2.05 sin^4(d/2)), A falling from 2.22 at 30 degrees
/// to 1.2 at 90. Idelchik, Diagram 6-5; within 2 % of ASHRAE Fundamentals 2005, fitting CR3-6.
template <class S>
S mitre_loss(const Same<S>& angle) {
  using std::sin;
  constexpr double degree = 3.14159265358979323846 / 180.0;
  static constexpr std::array<std::array<double, 2>, 5> factors{{{30 * degree, 2.22},
                                                                 {45 * degree, 1.87},
                                                                 {60 * degree, 1.50},
                                                                 {75 * degree, 1.28},
                                                                 {90 * degree, 1.20}}};
  const S half = 0.5 * angle;
  const S sine = sin(half);
  const S squared = sine * sine;
  const S shape = 0.95 * squared + 2.05 * squared * squared;
  const S factor = interpolate<S>(factors, angle);
  return factor * shape;
}

}  // namespace corefeed::losses
