// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/thin_curve.hpp"

#include <Eigen/Geometry>
#include <algorithm>

namespace corefeed::geometry {
namespace {

constexpr double share_of_extent = 2e-4;

Point to_point(const Vec3& position) {
  constexpr double meters = 1e-3;  // per mm
  return {position.x() * meters, position.y() * meters, position.z() * meters};
}

/// Adds the corners from `first` on and before `last`, which may be the number of points: the first one
/// again.
void add_corners(std::span<const Vec3> points, std::size_t first, std::size_t last, double tolerance,
                 std::vector<std::size_t>& kept) {
  const Vec3& from = points[first];
  const Vec3 chord = points[last % points.size()] - from;
  const double length = chord.norm();
  double farthest = tolerance;
  std::size_t corner = first;
  for (std::size_t i = first + 1; i < last; ++i) {
    const Vec3 away = points[i] - from;
    const double distance = length > 0 ? chord.cross(away).norm() / length : away.norm();
    if (distance <= farthest) continue;
    farthest = distance;
    corner = i;
  }
  if (corner == first) {
    kept.push_back(first);
    return;
  }
  add_corners(points, first, corner, tolerance, kept);
  add_corners(points, corner, last, tolerance, kept);
}

}  // namespace

std::vector<std::size_t> corners_of_loop(std::span<const Vec3> points, double tolerance) {
  std::size_t opposite = 0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    if ((points[i] - points[0]).norm() > (points[opposite] - points[0]).norm()) opposite = i;
  }
  std::vector<std::size_t> kept;
  add_corners(points, 0, opposite, tolerance, kept);
  add_corners(points, opposite, points.size(), tolerance, kept);
  kept.push_back(points.size());
  return kept;
}

std::vector<std::size_t> corners_of_line(std::span<const Vec3> points, double tolerance) {
  std::vector<std::size_t> kept;
  if (points.empty()) return kept;
  if (points.size() > 1) add_corners(points, 0, points.size() - 1, tolerance, kept);
  kept.push_back(points.size() - 1);
  return kept;
}

Curve drawn_loop(std::span<const Vec3> points) {
  Curve curve;
  if (points.size() < 3) return curve;
  double extent = 0;
  for (const Vec3& point : points) extent = std::max(extent, (point - points[0]).norm());
  const std::vector<std::size_t> corners = corners_of_loop(points, share_of_extent * extent);
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) curve.push_back(to_point(points[corners[i]]));
  return curve;
}

Curve drawn_line(std::span<const Vec3> points, double tolerance) {
  Curve curve;
  for (const std::size_t corner : corners_of_line(points, tolerance))
    curve.push_back(to_point(points[corner]));
  return curve;
}

}  // namespace corefeed::geometry
