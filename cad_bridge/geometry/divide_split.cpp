// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/divide_split.hpp"

#include <algorithm>

namespace corefeed::geometry {
namespace {

/// Weighted sums of a run.
struct Sums {
  double weight = 0;
  Eigen::Vector2d first = Eigen::Vector2d::Zero();
  double second = 0;

  void add(const Eigen::Vector2d& value, double w) {
    weight += w;
    first += w * value;
    second += w * value.squaredNorm();
  }
  void remove(const Eigen::Vector2d& value, double w) { add(value, -w); }
  Eigen::Vector2d mean() const { return first / weight; }
  double residual() const { return std::max(0.0, second - first.squaredNorm() / weight); }
};

}  // namespace

TwoLevels two_levels(std::span<const Eigen::Vector2d> values, std::span<const double> weights) {
  constexpr std::size_t least = 3;  // values in each level
  constexpr std::size_t margin = 1;
  TwoLevels result;
  if (values.size() < 2 * (least + margin)) return result;
  Sums left;
  Sums right;
  for (std::size_t i = margin; i + margin < values.size(); ++i) right.add(values[i], weights[i]);
  const double whole = right.residual();
  if (whole < 0.01 * right.mean().squaredNorm() * right.weight) return result;
  double best = 0.1 * whole;
  for (std::size_t i = margin; i + margin + least < values.size(); ++i) {
    left.add(values[i], weights[i]);
    right.remove(values[i], weights[i]);
    if (i + 1 < margin + least) continue;
    const double residual = left.residual() + right.residual();
    if (residual >= best) continue;
    const double larger = std::max(left.mean().norm(), right.mean().norm());
    if ((left.mean() - right.mean()).norm() < 0.25 * larger) continue;
    best = residual;
    result = {i + 1, left.mean(), right.mean()};
  }
  return result;
}

}  // namespace corefeed::geometry
