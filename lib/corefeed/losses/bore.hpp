// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <numbers>
#include <string_view>

#include "corefeed/losses/law.hpp"

/// What kinds of round passage share: the key of their diameter and the area that belongs to it.
namespace corefeed::losses {

inline Key bore_key(std::string_view meaning, double relative_sigma) {
  return {.name = "bore",
          .symbol = "D",
          .quantity = units::Quantity::length,
          .meaning = meaning,
          .lowest = 0.0,
          .above_lowest = true,
          .spread = {.relative = relative_sigma}};
}

/// Area of the circle of this diameter, m2.
template <class S>
S circle_area(const Same<S>& diameter) {
  const S area = std::numbers::pi / 4.0 * diameter * diameter;
  return area;
}

}  // namespace corefeed::losses
