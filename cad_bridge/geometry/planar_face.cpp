// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/planar_face.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRepTopAdaptor_FClass2d.hxx>
#include <BRep_Tool.hxx>
#include <ElSLib.hxx>
#include <GCPnts_AbscissaPoint.hxx>
#include <GProp_GProps.hxx>
#include <Precision.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>

namespace corefeed::geometry {

std::optional<PlanarFace> planar_face(const TopoDS_Face& face) {
  const BRepAdaptor_Surface surface(face);
  if (surface.GetType() != GeomAbs_Plane) return std::nullopt;
  PlanarFace result;
  result.face = face;
  result.plane = surface.Plane();
  // du x dv, not the axis: a left-handed system has them opposed.
  result.normal = result.plane.XAxis().Direction().Crossed(result.plane.YAxis().Direction());
  if (face.Orientation() == TopAbs_REVERSED) result.normal.Reverse();
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(face, properties);
  result.area = std::abs(properties.Mass());
  result.center = properties.CentreOfMass();
  return result;
}

void refine(PlanarFace& planar) {
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(planar.face, properties, 1e-12);
  planar.area = std::abs(properties.Mass());
  planar.center = properties.CentreOfMass();
}

double rim_length(const TopoDS_Face& face) {
  double length = 0;
  for (TopExp_Explorer edge(face, TopAbs_EDGE); edge.More(); edge.Next()) {
    if (BRep_Tool::Degenerated(TopoDS::Edge(edge.Current()))) continue;
    const BRepAdaptor_Curve curve(TopoDS::Edge(edge.Current()));
    length += GCPnts_AbscissaPoint::Length(curve, 1e-10);
  }
  return length;
}

double overlap(const PlanarFace& a, const PlanarFace& b) {
  constexpr int cells = 32;
  const PlanarFace& small = a.area <= b.area ? a : b;
  const PlanarFace& large = a.area <= b.area ? b : a;
  const BRepTopAdaptor_FClass2d in_small(small.face, Precision::PConfusion());
  const BRepTopAdaptor_FClass2d in_large(large.face, Precision::PConfusion());
  double u0, u1, v0, v1;
  BRepTools::UVBounds(small.face, u0, u1, v0, v1);
  int inside = 0;
  int covered = 0;
  for (int i = 0; i < cells; ++i) {
    for (int j = 0; j < cells; ++j) {
      const gp_Pnt2d at(u0 + (u1 - u0) * (i + 0.5) / cells, v0 + (v1 - v0) * (j + 0.5) / cells);
      if (in_small.Perform(at) != TopAbs_IN) continue;
      ++inside;
      double u = 0;
      double v = 0;
      ElSLib::Parameters(large.plane, ElSLib::Value(at.X(), at.Y(), small.plane), u, v);
      covered += in_large.Perform(gp_Pnt2d(u, v)) == TopAbs_IN ? 1 : 0;
    }
  }
  return inside == 0 ? 0.0 : static_cast<double>(covered) / inside;
}

}  // namespace corefeed::geometry
