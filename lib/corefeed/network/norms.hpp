// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <span>

/// How large a list of scaled residuals or steps is. Private to the library's sources.
namespace corefeed::network {

/// The largest size in the list; NaN where any number is not finite.
inline double largest(std::span<const double> v) {
  double size = 0.0;
  for (const double one : v) {
    if (!std::isfinite(one)) return std::nan("");
    size = std::max(size, std::abs(one));
  }
  return size;
}

/// The root of the sum of squares.
inline double norm(std::span<const double> v) {
  double sum = 0.0;
  for (const double one : v) sum += one * one;
  return std::sqrt(sum);
}

}  // namespace corefeed::network
