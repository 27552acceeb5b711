// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepGProp.hxx>
#include <BRepOffsetAPI_MakePipe.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <cmath>
#include <gp_Ax1.hxx>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Pln.hxx>
#include <gp_Trsf.hxx>
#include <numbers>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"

/// Ducts with known dimensions, in mm, built in memory. The way through starts at the origin along +z.
namespace corefeed::geometry::shapes {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180;

inline TopoDS_Wire circle(const gp_Pnt& center, const gp_Dir& normal, double radius) {
  return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(gp_Ax2(center, normal), radius))).Wire();
}

/// A rectangle in a plane z = height, `width` along x, `depth` along y.
inline TopoDS_Wire rectangle(double width, double depth, double height, double x = 0, double y = 0) {
  BRepBuilderAPI_MakePolygon polygon;
  polygon.Add(gp_Pnt(x - width / 2, y - depth / 2, height));
  polygon.Add(gp_Pnt(x + width / 2, y - depth / 2, height));
  polygon.Add(gp_Pnt(x + width / 2, y + depth / 2, height));
  polygon.Add(gp_Pnt(x - width / 2, y + depth / 2, height));
  polygon.Close();
  return polygon.Wire();
}

inline TopoDS_Face face_of(const TopoDS_Wire& wire) { return BRepBuilderAPI_MakeFace(wire, true).Face(); }

/// The planar face whose center of area is nearest to `point`.
inline TopoDS_Face face_near(const TopoDS_Shape& shape, const gp_Pnt& point) {
  TopoDS_Face best;
  double nearest = 1e300;
  for (TopExp_Explorer explorer(shape, TopAbs_FACE); explorer.More(); explorer.Next()) {
    const TopoDS_Face face = TopoDS::Face(explorer.Current());
    if (BRepAdaptor_Surface(face).GetType() != GeomAbs_Plane) continue;
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(face, properties);
    const double away = properties.CentreOfMass().Distance(point);
    if (away >= nearest) continue;
    nearest = away;
    best = face;
  }
  return best;
}

inline Passage passage(const TopoDS_Shape& solid, const gp_Pnt& in, const gp_Pnt& out) {
  Passage result;
  result.solid = solid;
  for (const gp_Pnt& point : {in, out}) {
    Opening opening;
    opening.name = result.openings.empty() ? "in" : "out";
    opening.face = face_near(solid, point);
    result.openings.push_back(opening);
  }
  return result;
}

/// The same passage moved to an arbitrary place in space.
inline Passage skewed(const Passage& original) {
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(3, -2, 7), gp_Dir(0.3, -0.5, 0.81)), 1.234);
  gp_Trsf shift;
  shift.SetTranslation(gp_Vec(1234.5, -678.9, 321));
  BRepBuilderAPI_Transform moved(original.solid, shift * turn, false);
  Passage result = original;
  result.solid = moved.Shape();
  for (Opening& opening : result.openings) opening.face = TopoDS::Face(moved.ModifiedShape(opening.face));
  return result;
}

inline Passage round_duct(double diameter, double length) {
  return passage(BRepPrimAPI_MakeCylinder(diameter / 2, length).Shape(), gp_Pnt(0, 0, 0),
                 gp_Pnt(0, 0, length));
}

inline Passage rectangular_duct(double width, double depth, double length) {
  return passage(BRepPrimAPI_MakeBox(gp_Pnt(-width / 2, -depth / 2, 0), width, depth, length).Shape(),
                 gp_Pnt(0, 0, 0), gp_Pnt(0, 0, length));
}

inline Passage cone(double inlet_diameter, double outlet_diameter, double length) {
  return passage(BRepPrimAPI_MakeCone(inlet_diameter / 2, outlet_diameter / 2, length).Shape(),
                 gp_Pnt(0, 0, 0), gp_Pnt(0, 0, length));
}

/// A stretch of a spine in the xz plane: straight for angle 0, else an arc; positive angles turn towards +x.
struct Stretch {
  double length = 0;
  double radius = 0;
  double angle = 0;
};

struct Spine {
  TopoDS_Wire wire;
  gp_Pnt end;
};

inline Spine spine(const std::vector<Stretch>& stretches) {
  BRepBuilderAPI_MakeWire maker;
  double x = 0;
  double z = 0;
  double heading = 0;  // from +z towards +x
  const auto at = [&](double px, double pz) { return gp_Pnt(px, 0, pz); };
  for (const Stretch& stretch : stretches) {
    const gp_Pnt start = at(x, z);
    if (stretch.angle == 0) {
      x += stretch.length * std::sin(heading);
      z += stretch.length * std::cos(heading);
      maker.Add(BRepBuilderAPI_MakeEdge(start, at(x, z)).Edge());
      continue;
    }
    const auto along = [&](double turned) {
      const double r = stretch.radius * (stretch.angle > 0 ? 1 : -1);
      return at(x + r * (std::cos(heading) - std::cos(heading + turned)),
                z + r * (std::sin(heading + turned) - std::sin(heading)));
    };
    const gp_Pnt middle = along(stretch.angle / 2);
    const gp_Pnt finish = along(stretch.angle);
    maker.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, middle, finish).Value()).Edge());
    x = finish.X();
    z = finish.Z();
    heading += stretch.angle;
  }
  return {maker.Wire(), at(x, z)};
}

inline Passage swept(const TopoDS_Wire& profile, const std::vector<Stretch>& stretches) {
  const Spine path = spine(stretches);
  const TopoDS_Shape solid = BRepOffsetAPI_MakePipe(path.wire, face_of(profile)).Shape();
  return passage(solid, gp_Pnt(0, 0, 0), path.end);
}

/// A quarter turn or less about an axis along y at x = radius.
inline Passage revolved(const TopoDS_Wire& profile, double radius, double angle) {
  const TopoDS_Shape solid =
      BRepPrimAPI_MakeRevol(face_of(profile), gp_Ax1(gp_Pnt(radius, 0, 0), gp_Dir(0, 1, 0)), angle).Shape();
  return passage(solid, gp_Pnt(0, 0, 0), gp_Pnt(radius * (1 - std::cos(angle)), 0, radius * std::sin(angle)));
}

inline Passage lofted(const std::vector<TopoDS_Wire>& wires, bool ruled, const gp_Pnt& end) {
  BRepOffsetAPI_ThruSections loft(true, ruled, 1e-6);
  for (const TopoDS_Wire& wire : wires) loft.AddWire(wire);
  loft.Build();
  return passage(loft.Shape(), gp_Pnt(0, 0, 0), end);
}

/// A circle in the plane z = height in four arcs, starting at the corner (-x, -y), to be lofted to a
/// rectangle.
inline TopoDS_Wire quartered_circle(double radius, double height) {
  BRepBuilderAPI_MakeWire maker;
  const gp_Circ whole(gp_Ax2(gp_Pnt(0, 0, height), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0)), radius);
  for (int quarter = 0; quarter < 4; ++quarter) {
    const double start = -0.75 * pi + quarter * 0.5 * pi;
    maker.Add(BRepBuilderAPI_MakeEdge(whole, start, start + 0.5 * pi).Edge());
  }
  return maker.Wire();
}

}  // namespace corefeed::geometry::shapes
