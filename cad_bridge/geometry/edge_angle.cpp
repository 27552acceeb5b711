// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/edge_angle.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRep_Tool.hxx>
#include <Geom2d_Curve.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>

namespace corefeed::geometry {

std::optional<gp_Vec> outward_normal(const TopoDS_Edge& edge, const TopoDS_Face& face, double parameter) {
  double first = 0;
  double last = 0;
  const Handle(Geom2d_Curve) curve = BRep_Tool::CurveOnSurface(edge, face, first, last);
  if (curve.IsNull()) return std::nullopt;
  const gp_Pnt2d uv = curve->Value(parameter);
  gp_Pnt point;
  gp_Vec du, dv;
  BRepAdaptor_Surface(face, false).D1(uv.X(), uv.Y(), point, du, dv);
  gp_Vec normal = du.Crossed(dv);
  if (normal.Magnitude() < 1e-12) return std::nullopt;
  if (face.Orientation() == TopAbs_REVERSED) normal.Reverse();
  return normal.Normalized();
}

TopoDS_Face face_across(const TopTools_ListOfShape& faces, const TopoDS_Face& from) {
  if (faces.Extent() != 2) return {};
  const TopoDS_Shape& other = faces.First().IsSame(from) ? faces.Last() : faces.First();
  return other.IsSame(from) ? TopoDS_Face() : TopoDS::Face(other);
}

EdgeAngle edge_angle(const TopoDS_Edge& edge, const TopoDS_Face& face, const TopoDS_Face& wall) {
  constexpr int samples = 7;
  EdgeAngle range;
  const BRepAdaptor_Curve curve(edge);
  for (int i = 0; i < samples; ++i) {
    const double share = (i + 0.5) / samples;
    const double parameter =
        curve.FirstParameter() + share * (curve.LastParameter() - curve.FirstParameter());
    const auto normal = outward_normal(edge, face, parameter);
    const auto across = outward_normal(edge, wall, parameter);
    gp_Pnt point;
    gp_Vec along;
    curve.D1(parameter, point, along);
    if (!normal || !across || along.Magnitude() < 1e-12) continue;
    along.Normalize();
    // The edge as the face uses it turns left about the face's normal, so that the sign of the triple product
    // tells a convex edge from a concave one.
    if (edge.Orientation() == TopAbs_REVERSED) along.Reverse();
    const double angle = std::atan2(normal->Crossed(*across).Dot(along), normal->Dot(*across));
    range.least = std::min(range.least, angle);
    range.most = std::max(range.most, angle);
  }
  return range;
}

}  // namespace corefeed::geometry
