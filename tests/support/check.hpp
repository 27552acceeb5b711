// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace corefeed::testing {

/// |found / expected - 1| <= tolerance; an expected zero must be found within the tolerance itself.
inline void expect_relative(double found, double expected, double tolerance, const std::string& what = "") {
  const double allowed = expected == 0.0 ? tolerance : tolerance * std::abs(expected);
  EXPECT_NEAR(found, expected, allowed)
      << what << ": off by " << found / expected - 1.0 << " of the expected value";
}

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double degree = pi / 180.0;

}  // namespace corefeed::testing
