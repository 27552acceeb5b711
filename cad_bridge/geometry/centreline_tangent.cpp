// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline_tangent.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <array>
#include <cmath>

namespace corefeed::geometry {
namespace {

struct Fit {
  Vec3 tangent;
  double error;  ///< root mean square residual per degree of freedom
};

/// Quadratic through points first..last over chord length; tangent at point `at`.
Fit fit(std::span<const Vec3> points, int first, int last, int at) {
  const Eigen::Index count = last - first + 1;
  Eigen::MatrixX3d basis(count, 3);
  Eigen::MatrixX3d values(count, 3);
  const auto point = [&](int i) -> const Vec3& { return points[static_cast<std::size_t>(i)]; };
  std::vector<double> along{0.0};
  for (int i = first + 1; i <= last; ++i) along.push_back(along.back() + (point(i) - point(i - 1)).norm());
  const double here = along[static_cast<std::size_t>(at - first)];
  const double scale = along.back() > 0 ? along.back() : 1.0;
  for (Eigen::Index i = 0; i < count; ++i) {
    const double x = (along[static_cast<std::size_t>(i)] - here) / scale;
    basis.row(i) << 1.0, x, x * x;
    values.row(i) = (point(first + static_cast<int>(i)) - point(at)).transpose();
  }
  const Eigen::Matrix3d solution = basis.colPivHouseholderQr().solve(values);
  // Across the curve only: along it a residual merely tells that an arc's points do not run evenly along its
  // chord.
  const Vec3 chord = (point(last) - point(first)).normalized();
  const Eigen::MatrixX3d off = basis * solution - values;
  const double residual = (off - (off * chord) * chord.transpose()).norm();
  const auto freedom = static_cast<double>(std::max<Eigen::Index>(count - 3, 1));
  return {solution.row(1).transpose().normalized(), residual / std::sqrt(freedom)};
}

}  // namespace

std::vector<Vec3> smooth_tangents(std::span<const Vec3> points, int window) {
  const int count = static_cast<int>(points.size());
  const int width = std::min(2 * window, count - 1);
  std::vector<Vec3> tangents;
  for (int i = 0; i < count; ++i) {
    const int first = std::clamp(i - width / 2, 0, count - 1 - width);
    tangents.push_back(fit(points, first, first + width, i).tangent);
  }
  return tangents;
}

std::vector<Vec3> sharp_tangents(std::span<const Vec3> points) {
  const int count = static_cast<int>(points.size());
  // One-sided fits must be clearly better: in a smooth stretch the two-sided one is the more accurate.
  constexpr double clearly = 4;
  constexpr int reach = 3;
  std::vector<Vec3> tangents;
  for (int i = 0; i < count; ++i) {
    const int first = std::clamp(i - 2, 0, std::max(count - 5, 0));
    Fit best = fit(points, first, std::min(first + 4, count - 1), i);
    best.error /= clearly;
    for (const int side : {-reach, reach}) {
      if (i + side < 0 || i + side >= count) continue;
      const Fit one_sided = fit(points, std::min(i, i + side), std::max(i, i + side), i);
      if (one_sided.error < best.error) best = one_sided;
    }
    tangents.push_back(best.tangent);
  }
  return tangents;
}

}  // namespace corefeed::geometry
