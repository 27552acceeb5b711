// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>
#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

/// Integrals along closed curves in a plane, built arc by arc.
namespace corefeed::geometry {

/// Axes of a plane: across = normal x along.
struct PlaneFrame {
  Vec3 origin;
  Vec3 along;
  Vec3 across;

  explicit PlaneFrame(const CutPlane& plane);
  Vec2 flat(const Vec3& point) const { return {along.dot(point - origin), across.dot(point - origin)}; }
  Vec3 space(const Vec2& point) const { return origin + point.x() * along + point.y() * across; }
};

/// A closed curve and its integrals in the frame of its plane.
struct Outline {
  double area = 0;  ///< positive when counterclockwise, negative for a hole
  double perimeter = 0;
  Vec2 first_moment = Vec2::Zero();
  Eigen::Matrix2d second_moment = Eigen::Matrix2d::Zero();
  std::vector<Vec2> points;
  std::vector<Vec2> middles;  ///< middles[i] lies between points[i] and points[i + 1]

  Vec2 center() const { return first_moment / area; }
};

/// A point of an arc: where it is on its carrier (surface or curve), in the plane, and the arc's direction.
struct ArcPoint {
  Vec2 parameter = Vec2::Zero();
  Vec2 position = Vec2::Zero();
  Vec2 direction = Vec2::Zero();  ///< unit; zero when unknown
};

/// Finds the arc's point that lies halfway along the chord between two others; nothing for a straight piece
/// or when it cannot be found: the chord is then taken.
using FindMiddle = std::function<std::optional<ArcPoint>(const ArcPoint&, const ArcPoint&)>;

/// Adds the arc from `from` to `to`. Area under the arc by the Hermite rule with end slopes and middle value
/// (exact to fifth degree); halved where it disagrees with Simpson's by more than `tolerance` (mm2).
void add_arc(Outline& outline, const ArcPoint& from, const ArcPoint& to, const FindMiddle& find_middle,
             double tolerance);

}  // namespace corefeed::geometry
