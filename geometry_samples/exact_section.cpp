// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/exact_section.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepAlgoAPI_Common.hxx>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepGProp.hxx>
#include <BRepLProp_SLProps.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GCPnts_AbscissaPoint.hxx>
#include <GProp_GProps.hxx>
#include <Geom2d_Curve.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <algorithm>
#include <gp_Pln.hxx>
#include <numbers>

namespace corefeed::geometry_samples {
namespace {

// GProp without a tolerance is off by more than 1e-6 on faces with rational borders.
constexpr double integration_tolerance = 1e-10;

gp_Dir outward_normal(const TopoDS_Face& face, const TopoDS_Edge& edge) {
  double first = 0.0;
  double last = 0.0;
  const Handle(Geom2d_Curve) curve = BRep_Tool::CurveOnSurface(edge, face, first, last);
  const gp_Pnt2d uv = curve->Value(0.4 * first + 0.6 * last);
  BRepLProp_SLProps properties(BRepAdaptor_Surface(face), uv.X(), uv.Y(), 1, 1e-9);
  const gp_Dir normal = properties.Normal();
  return face.Orientation() == TopAbs_REVERSED ? normal.Reversed() : normal;
}

}  // namespace

Measure measure_face(const TopoDS_Face& face) {
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(face, properties, integration_tolerance);
  Measure measure{properties.Mass(), 0.0, properties.CentreOfMass()};
  for (TopExp_Explorer explorer(face, TopAbs_EDGE); explorer.More(); explorer.Next()) {
    const BRepAdaptor_Curve curve(TopoDS::Edge(explorer.Current()));
    measure.perimeter += GCPnts_AbscissaPoint::Length(curve, integration_tolerance);
  }
  return measure;
}

Measure exact_section(const TopoDS_Shape& solid, const gp_Pnt& center, const gp_Dir& tangent) {
  Bnd_Box box;
  BRepBndLib::Add(solid, box);
  const double reach = box.CornerMin().Distance(box.CornerMax());
  const TopoDS_Face plane =
      BRepBuilderAPI_MakeFace(gp_Pln(center, tangent), -reach, reach, -reach, reach).Face();
  BRepAlgoAPI_Common common(solid, plane);
  Measure sum;
  gp_XYZ moment(0.0, 0.0, 0.0);
  for (TopExp_Explorer explorer(common.Shape(), TopAbs_FACE); explorer.More(); explorer.Next()) {
    const Measure region = measure_face(TopoDS::Face(explorer.Current()));
    sum.area += region.area;
    sum.perimeter += region.perimeter;
    moment += region.center.XYZ() * region.area;
  }
  if (sum.area > 0.0) sum.center = gp_Pnt(moment / sum.area);
  return sum;
}

double smallest_edge_angle(const TopoDS_Shape& solid, const TopoDS_Face& face) {
  TopTools_IndexedDataMapOfShapeListOfShape faces_of_edge;
  TopExp::MapShapesAndAncestors(solid, TopAbs_EDGE, TopAbs_FACE, faces_of_edge);
  double smallest = std::numbers::pi;
  for (TopExp_Explorer explorer(face, TopAbs_EDGE); explorer.More(); explorer.Next()) {
    const TopoDS_Edge edge = TopoDS::Edge(explorer.Current());
    for (const TopoDS_Shape& neighbor : faces_of_edge.FindFromKey(edge)) {
      if (neighbor.IsSame(face)) continue;
      const gp_Dir other = outward_normal(TopoDS::Face(neighbor), edge);
      smallest = std::min(smallest, outward_normal(face, edge).Angle(other));
    }
  }
  return smallest;
}

}  // namespace corefeed::geometry_samples
