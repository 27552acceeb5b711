// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/drawn_edges.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepBndLib.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "cad_bridge/geometry/edge_angle.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"

namespace corefeed::geometry {
namespace {

constexpr int most_edges = 5000;
constexpr double least_turn = std::numbers::pi / 15;  // 12 degrees, as an edge of a hole has to have
constexpr double share_of_diagonal = 2e-4;

/// The edge as the face uses it: the sign of an angle depends on it.
TopoDS_Edge edge_in(const TopoDS_Face& face, const TopoDS_Shape& edge) {
  for (TopExp_Explorer each(face, TopAbs_EDGE); each.More(); each.Next()) {
    if (each.Current().IsSame(edge)) return TopoDS::Edge(each.Current());
  }
  return TopoDS::Edge(edge);
}

bool is_drawn(const TopoDS_Shape& edge, const TopTools_ListOfShape& faces) {
  if (BRep_Tool::Degenerated(TopoDS::Edge(edge)) || faces.IsEmpty()) return false;
  const TopoDS_Face face = TopoDS::Face(faces.First());
  if (faces.Extent() == 1) return true;
  const TopoDS_Face across = face_across(faces, face);
  if (across.IsNull()) return faces.Extent() > 2;  // else a seam
  const EdgeAngle angle = edge_angle(edge_in(face, edge), face, across);
  return std::max(std::abs(angle.least), std::abs(angle.most)) > least_turn;
}

Curve drawn(const TopoDS_Edge& edge, double tolerance) {
  constexpr int pieces = 64;
  const BRepAdaptor_Curve curve(edge);
  const int count = curve.GetType() == GeomAbs_Line ? 1 : pieces;
  std::vector<Vec3> points;
  for (int i = 0; i <= count; ++i) {
    const double share = static_cast<double>(i) / count;
    const gp_Pnt point =
        curve.Value(curve.FirstParameter() + share * (curve.LastParameter() - curve.FirstParameter()));
    points.emplace_back(point.X(), point.Y(), point.Z());
  }
  return drawn_line(points, tolerance);
}

}  // namespace

std::vector<Curve> drawn_edges(const TopoDS_Shape& shape) {
  FacesOfEdge faces_of_edge;
  TopExp::MapShapesAndAncestors(shape, TopAbs_EDGE, TopAbs_FACE, faces_of_edge);
  if (faces_of_edge.Extent() > most_edges) return {};
  Bnd_Box box;
  BRepBndLib::Add(shape, box, false);
  if (box.IsVoid()) return {};
  const double tolerance = share_of_diagonal * std::sqrt(box.SquareExtent());
  std::vector<Curve> edges;
  for (int i = 1; i <= faces_of_edge.Extent(); ++i) {
    if (is_drawn(faces_of_edge.FindKey(i), faces_of_edge.FindFromIndex(i)))
      edges.push_back(drawn(TopoDS::Edge(faces_of_edge.FindKey(i)), tolerance));
  }
  return edges;
}

}  // namespace corefeed::geometry
