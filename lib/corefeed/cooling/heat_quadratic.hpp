// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

/// Complete quadratics over the temperatures of all loops.
namespace corefeed::cooling {

/// Heat of n loops over n temperatures: for each loop 1 + n + n (n + 1) / 2 coefficients of the coordinates
/// z = (T - center) / half, which run from -1 to 1 over the range.
class HeatQuadratic {
 public:
  HeatQuadratic(std::span<const double> coldest, std::span<const double> hottest);

  std::size_t loops() const { return center_.size(); }
  std::size_t terms() const { return 1 + loops() + loops() * (loops() + 1) / 2; }

  /// Temperatures at which the heat has to be known, as many as a loop has coefficients: the center, each
  /// loop hot and cold, each two loops hot.
  std::vector<std::vector<double>> sites() const;

  /// Coefficients of all loops, loop by loop, from the heats (by loop) at the sites.
  std::vector<double> coefficients(const std::vector<std::vector<double>>& heats) const;

  void heat(std::span<const double> coefficients, std::span<const double> temperature,
            std::span<double> heat) const;

  /// Derivative of the heat of loop i with respect to the temperature of loop j, W/K, at i * loops() + j.
  void slopes(std::span<const double> coefficients, std::span<const double> temperature,
              std::span<double> slopes) const;

 private:
  std::vector<double> center_;
  std::vector<double> half_;
};

}  // namespace corefeed::cooling
