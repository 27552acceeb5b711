// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <span>

namespace corefeed::geometry {

/// Where a run of values (curvature, slope) is better described by two constants than by one.
struct TwoLevels {
  std::size_t second = 0;  ///< index of the first value of the second level; 0 when one level serves
  Eigen::Vector2d before = Eigen::Vector2d::Zero();
  Eigen::Vector2d after = Eigen::Vector2d::Zero();
};

/// Two levels are taken only where they leave less than a tenth of the squared residual of one (a ramp leaves
/// a quarter) and differ by more than a quarter of the larger one: a smooth change stays in one piece. The
/// first and last values may be mixtures with the neighbors and are left out.
TwoLevels two_levels(std::span<const Eigen::Vector2d> values, std::span<const double> weights);

}  // namespace corefeed::geometry
