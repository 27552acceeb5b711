// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/sew.hpp"

#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <algorithm>
#include <map>
#include <utility>

#include "cad_bridge/geometry/planar_face.hpp"

namespace corefeed::geometry {
namespace {

constexpr double reach = 0.01;  // mm

/// Edges that bound one face once.
class FreeEdges {
 public:
  explicit FreeEdges(const TopoDS_Shape& skin) {
    TopExp::MapShapesAndUniqueAncestors(skin, TopAbs_EDGE, TopAbs_FACE, faces_);
  }

  bool contains(const TopoDS_Edge& edge) const {
    const TopTools_ListOfShape& faces = faces_.FindFromKey(edge);
    return faces.Extent() == 1 && !BRep_Tool::Degenerated(edge) &&
           !BRep_Tool::IsClosed(edge, TopoDS::Face(faces.First()));
  }

 private:
  TopTools_IndexedDataMapOfShapeListOfShape faces_;
};

template <class Predicate>
bool all_edges(const TopoDS_Shape& wire, Predicate holds) {
  for (TopExp_Explorer edge(wire, TopAbs_EDGE); edge.More(); edge.Next()) {
    if (!holds(TopoDS::Edge(edge.Current()))) return false;
  }
  return true;
}

bool is_flange(const TopoDS_Face& face, const FreeEdges& free) {
  const TopoDS_Wire outer = BRepTools::OuterWire(face);
  if (!all_edges(outer, [&free](const TopoDS_Edge& edge) { return free.contains(edge); })) return false;
  for (TopExp_Explorer wire(face, TopAbs_WIRE); wire.More(); wire.Next()) {
    if (wire.Current().IsSame(outer)) continue;
    if (all_edges(wire.Current(), [&free](const TopoDS_Edge& edge) { return !free.contains(edge); }))
      return true;
  }
  return false;
}

TopoDS_Shell without_flanges(const TopoDS_Shape& skin) {
  const FreeEdges free(skin);
  TopoDS_Shell shell;
  BRep_Builder().MakeShell(shell);
  for (TopExp_Explorer face(skin, TopAbs_FACE); face.More(); face.Next()) {
    if (!is_flange(TopoDS::Face(face.Current()), free)) BRep_Builder().Add(shell, face.Current());
  }
  return shell;
}

int faces_in(const TopoDS_Shape& shape) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(shape, TopAbs_FACE, faces);
  return faces.Extent();
}

/// Closed chains of free edges; chains that do not close are left out.
std::vector<std::vector<TopoDS_Edge>> free_loops_of(const TopoDS_Shell& shell) {
  const FreeEdges free(shell);
  TopTools_IndexedMapOfShape vertices;
  TopExp::MapShapes(shell, TopAbs_VERTEX, vertices);
  std::multimap<int, TopoDS_Edge> starting;
  for (TopExp_Explorer face(shell, TopAbs_FACE); face.More(); face.Next()) {
    for (TopExp_Explorer each(face.Current(), TopAbs_EDGE); each.More(); each.Next()) {
      const TopoDS_Edge edge = TopoDS::Edge(each.Current());
      if (free.contains(edge)) starting.emplace(vertices.FindIndex(TopExp::FirstVertex(edge, true)), edge);
    }
  }
  std::vector<std::vector<TopoDS_Edge>> loops;
  while (!starting.empty()) {
    std::vector<TopoDS_Edge> loop;
    const int start = starting.begin()->first;
    auto next = starting.begin();
    int end = 0;
    while (next != starting.end()) {
      loop.push_back(next->second);
      starting.erase(next);
      end = vertices.FindIndex(TopExp::LastVertex(loop.back(), true));
      next = end == start ? starting.end() : starting.find(end);
    }
    if (end == start) loops.push_back(std::move(loop));
  }
  return loops;
}

}  // namespace

SewnSkin sew_skin(const TopoDS_Shape& surfaces) {
  BRepBuilderAPI_Sewing sewing(reach);
  for (TopExp_Explorer face(surfaces, TopAbs_FACE); face.More(); face.Next()) sewing.Add(face.Current());
  sewing.Perform();
  const TopoDS_Shape sewn = sewing.SewedShape();
  TopoDS_Shape largest;
  int most = 0;
  for (TopExp_Explorer shell(sewn, TopAbs_SHELL); shell.More(); shell.Next()) {
    const int faces = faces_in(shell.Current());
    if (faces > most) {
      most = faces;
      largest = shell.Current();
    }
  }
  // A lone face stays a face.
  for (TopExp_Explorer face(sewn, TopAbs_FACE, TopAbs_SHELL); face.More() && most == 0; face.Next()) {
    most = 1;
    largest = face.Current();
  }
  SewnSkin skin;
  if (most == 0) return skin;
  skin.left_out = faces_in(sewn) - most;
  skin.shell = without_flanges(largest);
  skin.free_loops = free_loops_of(skin.shell);
  return skin;
}

Vec3 planar_normal(const TopoDS_Face& face) {
  const auto flat = planar_face(face);
  return flat ? Vec3(flat->normal.X(), flat->normal.Y(), flat->normal.Z()) : Vec3(Vec3::Zero());
}

}  // namespace corefeed::geometry
