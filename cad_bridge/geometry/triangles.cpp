// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/triangles.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepBndLib.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRepTools_WireExplorer.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>

namespace corefeed::geometry {
namespace {

constexpr double deflection = 2e-4;  // of the diagonal
constexpr double turn = 0.1;         // rad

Vec3 to_vec(const gp_Pnt& point) { return {point.X(), point.Y(), point.Z()}; }

void append(std::vector<Triangle>& triangles, const TopoDS_Face& face) {
  TopLoc_Location location;
  const auto mesh = BRep_Tool::Triangulation(face, location);
  if (mesh.IsNull()) return;
  for (int i = 1; i <= mesh->NbTriangles(); ++i) {
    std::array<int, 3> nodes{};
    mesh->Triangle(i).Get(nodes[0], nodes[1], nodes[2]);
    Triangle triangle;
    for (std::size_t k = 0; k < 3; ++k)
      triangle[k] = to_vec(mesh->Node(nodes[k]).Transformed(location.Transformation()));
    if (face.Orientation() == TopAbs_REVERSED) std::swap(triangle[1], triangle[2]);
    triangles.push_back(triangle);
  }
}

/// Squared distance to a triangle: to its plane where the foot lies inside, else to the nearest side.
double squared_distance(const Triangle& triangle, const Vec3& point) {
  const Vec3 normal = (triangle[1] - triangle[0]).cross(triangle[2] - triangle[0]);
  bool inside = normal.squaredNorm() > 0;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 side = triangle[(i + 1) % 3] - triangle[i];
    const Vec3 away = point - triangle[i];
    if (normal.dot(side.cross(away)) < 0) inside = false;
    const double length = side.squaredNorm();
    const double along = length > 0 ? std::clamp(away.dot(side) / length, 0.0, 1.0) : 0.0;
    nearest = std::min(nearest, (away - along * side).squaredNorm());
  }
  if (!inside) return nearest;
  const double height = normal.normalized().dot(point - triangle[0]);
  return height * height;
}

}  // namespace

std::vector<Triangle> triangles_of(const TopoDS_Shape& shape) {
  std::vector<Triangle> triangles;
  Bnd_Box box;
  BRepBndLib::Add(shape, box, false);
  if (box.IsVoid()) return triangles;
  const BRepMesh_IncrementalMesh mesher(shape, deflection * std::sqrt(box.SquareExtent()), false, turn);
  for (TopExp_Explorer face(shape, TopAbs_FACE); face.More(); face.Next())
    append(triangles, TopoDS::Face(face.Current()));
  return triangles;
}

std::vector<Vec3> points_of(const std::vector<TopoDS_Edge>& edges) {
  constexpr int curved = 256;  // a full circle's area is then good to 1e-4
  std::vector<Vec3> points;
  for (const TopoDS_Edge& edge : edges) {
    if (BRep_Tool::Degenerated(edge)) continue;
    const BRepAdaptor_Curve curve(edge);
    const int count = curve.GetType() == GeomAbs_Line ? 1 : curved;
    const bool backward = edge.Orientation() == TopAbs_REVERSED;
    const double first = backward ? curve.LastParameter() : curve.FirstParameter();
    const double last = backward ? curve.FirstParameter() : curve.LastParameter();
    for (int i = 0; i < count; ++i) points.push_back(to_vec(curve.Value(first + (last - first) * i / count)));
  }
  return points;
}

std::vector<std::vector<Vec3>> outlines_of(const TopoDS_Face& face) {
  std::vector<std::vector<Vec3>> outlines;
  for (TopExp_Explorer wire(face, TopAbs_WIRE); wire.More(); wire.Next()) {
    std::vector<TopoDS_Edge> edges;
    for (BRepTools_WireExplorer edge(TopoDS::Wire(wire.Current()), face); edge.More(); edge.Next())
      edges.push_back(edge.Current());
    outlines.push_back(points_of(edges));
  }
  return outlines;
}

double distance_to(const std::vector<Triangle>& triangles, const Vec3& point) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const Triangle& triangle : triangles) nearest = std::min(nearest, squared_distance(triangle, point));
  return std::sqrt(nearest);
}

}  // namespace corefeed::geometry
