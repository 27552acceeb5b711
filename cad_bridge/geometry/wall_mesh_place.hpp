// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "cad_bridge/geometry/wall_mesh.hpp"

/// Newton steps that put a point of the mesh back on the true surface or curve.
namespace corefeed::geometry {

struct SurfacePoint {
  Vec3 position;
  Vec3 along_u;
  Vec3 along_v;
};

SurfacePoint evaluate(const BRepAdaptor_Surface& surface, const Vec2& uv);

/// A point of the curve with its derivative.
struct CurvePoint {
  Vec3 position;
  Vec3 derivative;
};

CurvePoint evaluate(const BRepAdaptor_Curve& curve, double parameter);

struct CutPlane {
  Vec3 origin = Vec3::Zero();
  Vec3 normal = Vec3::Zero();  ///< unit

  double height(const Vec3& point) const { return normal.dot(point - origin); }
};

/// Moves `uv` along the surface, by the shortest way, onto the plane, and gives the point there. Nothing when
/// the surface is (nearly) parallel to the plane there or the steps do not settle; `uv` is then unchanged.
std::optional<SurfacePoint> move_to_plane(const BRepAdaptor_Surface& surface, const CutPlane& plane,
                                          double tolerance, Vec2& uv);

/// Moves `uv` onto the line of the surface's points that lie in both planes, if it has such a point near.
std::optional<SurfacePoint> move_to_planes(const BRepAdaptor_Surface& surface, const CutPlane& first,
                                           const CutPlane& second, double tolerance, Vec2& uv);

/// Moves `uv` to the foot of `point` on the surface.
void move_to_foot(const BRepAdaptor_Surface& surface, const Vec3& point, double tolerance, Vec2& uv);

/// The parameter between `low` and `high`, on either side of the plane, where the curve crosses it.
double cross_plane(const BRepAdaptor_Curve& curve, const CutPlane& plane, double low, double high,
                   double tolerance);

}  // namespace corefeed::geometry
