// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/piece_solids.hpp"

#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeTorus.hxx>
#include <Geom_BezierCurve.hxx>
#include <TColgp_Array1OfPnt.hxx>
#include <array>
#include <gp_Circ.hxx>
#include <gp_Pln.hxx>
#include <gp_Vec.hxx>
#include <vector>

#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

gp_Pnt at(const gp_Ax2& frame, double along, double across, double up) {
  return frame.Location().Translated(gp_Vec(frame.Direction()) * along + gp_Vec(frame.XDirection()) * across +
                                     gp_Vec(frame.YDirection()) * up);
}

std::array<gp_Pnt, 4> corners(const gp_Ax2& frame, const Section& section, double along) {
  const double w = section.width / 2.0;
  const double h = section.height / 2.0;
  return {at(frame, along, w, -h), at(frame, along, w, h), at(frame, along, -w, h), at(frame, along, -w, -h)};
}

TopoDS_Face quadrangle(const gp_Pnt& a, const gp_Pnt& b, const gp_Pnt& c, const gp_Pnt& d) {
  return BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakePolygon(a, b, c, d, true).Wire(), true).Face();
}

/// One wall of the pinch in the plane across = -width / 2. In Bernstein form t^2 (1 - t)^2 is one sixth of
/// the middle polynomial of degree 4, so that a curve with five poles is exact.
Handle(Geom_BezierCurve)
    pinch_curve(const gp_Ax2& frame, double across, double edge, double throat, double length) {
  const double middle = edge - (edge - throat) * 16.0 / 6.0;
  TColgp_Array1OfPnt poles(1, 5);
  for (int i = 0; i < 5; ++i)
    poles.SetValue(i + 1, at(frame, length * i / 4.0, across, i == 2 ? middle : edge));
  return new Geom_BezierCurve(poles);
}

}  // namespace

TopoDS_Face section_face(const gp_Ax2& frame, const Section& section) {
  if (section.round) {
    const gp_Circ circle(frame, section.width / 2.0);
    const TopoDS_Wire wire = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
    return BRepBuilderAPI_MakeFace(wire, true).Face();
  }
  const auto c = corners(frame, section, 0.0);
  return quadrangle(c[0], c[1], c[2], c[3]);
}

TopoDS_Shape torus_part(const gp_Ax1& axis, const gp_Ax2& frame, double diameter, double angle) {
  // Turning a circle would give a general surface of revolution, where CAD systems write a torus.
  const gp_Vec outward(axis.Location(), frame.Location());
  const gp_Ax2 axes(axis.Location(), axis.Direction(), gp_Dir(outward));
  return BRepPrimAPI_MakeTorus(axes, outward.Magnitude(), diameter / 2.0, angle).Shape();
}

TopoDS_Solid frustum(const gp_Ax2& frame, const Section& from, const Section& to, double length) {
  const auto a = corners(frame, from, 0.0);
  const auto b = corners(frame, to, length);
  std::vector<TopoDS_Face> faces{quadrangle(a[0], a[1], a[2], a[3]), quadrangle(b[0], b[1], b[2], b[3])};
  for (std::size_t i = 0; i < 4; ++i) {
    const std::size_t next = (i + 1) % 4;
    faces.push_back(quadrangle(a[i], a[next], b[next], b[i]));
  }
  return solid_from_faces(faces);
}

TopoDS_Shape pinched_box(const gp_Ax2& frame, const Section& section, double throat_height, double length) {
  const double across = -section.width / 2.0;
  const double h = section.height / 2.0;
  const TopoDS_Edge lower =
      BRepBuilderAPI_MakeEdge(pinch_curve(frame, across, -h, -throat_height / 2.0, length)).Edge();
  const TopoDS_Edge upper =
      BRepBuilderAPI_MakeEdge(pinch_curve(frame, across, h, throat_height / 2.0, length)).Edge();
  const TopoDS_Edge front =
      BRepBuilderAPI_MakeEdge(at(frame, 0.0, across, -h), at(frame, 0.0, across, h)).Edge();
  const TopoDS_Edge back =
      BRepBuilderAPI_MakeEdge(at(frame, length, across, -h), at(frame, length, across, h)).Edge();
  const TopoDS_Wire outline = BRepBuilderAPI_MakeWire(lower, back, upper, front).Wire();
  const gp_Pln side(frame.Location().Translated(gp_Vec(frame.XDirection()) * across), frame.XDirection());
  return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(side, outline).Face(),
                               gp_Vec(frame.XDirection()) * section.width)
      .Shape();
}

}  // namespace corefeed::geometry_samples
