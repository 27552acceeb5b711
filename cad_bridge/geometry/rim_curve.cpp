// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/rim_curve.hpp"

#include <BRep_Tool.hxx>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>

namespace corefeed::geometry {
namespace {

constexpr double settled = 1e-10;   // mm
constexpr double least_sine = 0.2;  // of the angle between the surfaces

}  // namespace

RimCurve::RimCurve(const TopoDS_Edge& edge) : curve_(edge) {}

RimCurve::RimCurve(const TopoDS_Edge& edge, const TopoDS_Face& one, const TopoDS_Face& other) : curve_(edge) {
  if (curve_.GetType() != GeomAbs_BSplineCurve && curve_.GetType() != GeomAbs_BezierCurve) return;
  const auto side = [&edge](const TopoDS_Face& face) {
    double low = 0;
    double high = 0;
    return Side{BRepAdaptor_Surface(face), BRep_Tool::CurveOnSurface(edge, face, low, high)};
  };
  const std::array<Side, 2> sides{side(one), side(other)};
  if (!sides[0].line.IsNull() && !sides[1].line.IsNull()) sides_ = sides;
}

CurvePoint RimCurve::at(double parameter) const {
  CurvePoint point = evaluate(curve_, parameter);
  if (!sides_) return point;
  // The correction is some micrometers and smooth: its slope by differences is good enough.
  const double reach = 1e-3 * (last() - first());
  const double before = std::max(parameter - reach, std::min(first(), last()));
  const double after = std::min(parameter + reach, std::max(first(), last()));
  point.position += correction(parameter);
  point.derivative += (correction(after) - correction(before)) / (after - before);
  return point;
}

/// The shortest way from the edge's own point to both surfaces.
Vec3 RimCurve::correction(double parameter) const {
  const Vec3 start = evaluate(curve_, parameter).position;
  std::array<Vec2, 2> uv;
  for (std::size_t i = 0; i < 2; ++i) {
    const gp_Pnt2d at = (*sides_)[i].line->Value(parameter);
    uv[i] = Vec2(at.X(), at.Y());
  }
  Vec3 moved = Vec3::Zero();
  for (int step = 0; step < 4; ++step) {
    Eigen::Matrix<double, 2, 3> normals;
    Vec2 away;
    for (std::size_t i = 0; i < 2; ++i) {
      const BRepAdaptor_Surface& surface = (*sides_)[i].surface;
      move_to_foot(surface, start + moved, settled, uv[i]);
      const SurfacePoint foot = evaluate(surface, uv[i]);
      const Vec3 normal = foot.along_u.cross(foot.along_v).normalized();
      normals.row(static_cast<Eigen::Index>(i)) = normal.transpose();
      away[static_cast<Eigen::Index>(i)] = normal.dot(foot.position - start - moved);
    }
    const Eigen::Matrix2d gram = normals * normals.transpose();
    if (!(gram.determinant() > least_sine * least_sine)) return Vec3::Zero();
    const Vec3 move = normals.transpose() * (gram.inverse() * away);
    moved += move;
    if (move.norm() < settled) return moved;
  }
  return Vec3::Zero();
}

}  // namespace corefeed::geometry
