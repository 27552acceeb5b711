// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/close_passage.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRep_Builder.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_MapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Iterator.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <algorithm>
#include <utility>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/sew.hpp"
#include "cad_bridge/geometry/solids.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;  // per mm

Issue end_not_planar(const std::string& part, const Vec3& at) {
  return geometry_error(
      "end_not_planar",
      fmt::format("the end of {} near ({:.4f}, {:.4f}, {:.4f}) m does not lie in a plane; trim it flat, or "
                  "export the air inside as a solid",
                  corefeed::quoted(part), at.x() * meters, at.y() * meters, at.z() * meters));
}

bool is_flat(const TopoDS_Face& face) { return BRepAdaptor_Surface(face).GetType() == GeomAbs_Plane; }

/// Closed by its caps; sound and oriented outward, or the reason why not.
Result<ClosedPassage> finish(const TopoDS_Shell& shell, const std::vector<Cap>& ends,
                             const std::string& part) {
  TopoDS_Solid solid;
  BRep_Builder().MakeSolid(solid);
  BRep_Builder().Add(solid, shell);
  const Result<SoundSolid> sound = sound_solid(solid, part);
  if (!sound) return sound.issues();
  ClosedPassage closed{sound.value().solid, sound.value().volume, {}, {}};
  // The caps as the solid has them: their orientation may have changed with it.
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(closed.solid, TopAbs_FACE, faces);
  for (const Cap& cap : ends)
    closed.ends.push_back({TopoDS::Face(faces(faces.FindIndex(cap.face))), cap.skin});
  return closed;
}

/// The face without its loops that begin holes; itself where it has none.
TopoDS_Face without_holes(const TopoDS_Face& face, const TopTools_MapOfShape& hole_edges) {
  TopoDS_Face filled = TopoDS::Face(face.EmptyCopied().Oriented(TopAbs_FORWARD));
  bool changed = false;
  for (TopoDS_Iterator wire(face.Oriented(TopAbs_FORWARD)); wire.More(); wire.Next()) {
    const TopExp_Explorer edge(wire.Value(), TopAbs_EDGE);
    const bool hole = edge.More() && hole_edges.Contains(edge.Current());
    changed = changed || hole;
    if (!hole) BRep_Builder().Add(filled, wire.Value());
  }
  return changed ? TopoDS::Face(filled.Oriented(face.Orientation())) : face;
}

Result<ClosedPassage> close_channel(const ThinWall& wall, const Channel& passage, const std::string& part) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(wall.solid, TopAbs_FACE, faces);
  TopTools_MapOfShape hole_edges;
  for (const Channel& hole : wall.holes) {
    for (const Mouth& mouth : hole.mouths) {
      for (const TopoDS_Edge& edge : mouth.edges) hole_edges.Add(edge);
    }
  }
  TopoDS_Shell shell;
  BRep_Builder().MakeShell(shell);
  for (const int face : passage.walls)
    BRep_Builder().Add(shell, without_holes(TopoDS::Face(faces(face)), hole_edges).Reversed());
  std::vector<Cap> ends;
  for (const Mouth& mouth : passage.mouths) {
    auto cap = continued_skin(mouth, wall.solid);
    if (!cap || !is_flat(*cap)) return end_not_planar(part, mouth.center);
    if (planar_normal(*cap).dot(mouth.vector_area) < 0) cap->Reverse();
    BRep_Builder().Add(shell, *cap);
    ends.push_back({*cap, mouth.skin.front()});
  }
  return finish(shell, ends, part);
}

}  // namespace

Result<std::vector<ClosedPassage>> close_sheet(const ThinWall& wall, const std::string& part) {
  std::vector<ClosedPassage> closed;
  for (const Channel& passage : wall.passages) {
    Result<ClosedPassage> one = close_channel(wall, passage, part);
    if (!one) return one.issues();
    closed.push_back(std::move(one).value());
  }
  return closed;
}

Result<ClosedPassage> close_shell(const TopoDS_Shape& surfaces, const std::string& part) {
  SewnSkin skin = sew_skin(surfaces);
  const std::size_t loops = skin.free_loops.size();
  if (loops < 2) {
    return geometry_error(
        "not_closed",
        fmt::format("the surfaces of {} ({}) do not make a passage: sewn within 0.01 mm "
                    "they have {} closed free rim{}, expected two or more",
                    corefeed::quoted(part), describe_surfaces({surfaces}), loops, loops == 1 ? "" : "s"));
  }
  std::vector<Cap> ends;
  for (const std::vector<TopoDS_Edge>& loop : skin.free_loops) {
    BRepBuilderAPI_MakeWire wire;
    for (const TopoDS_Edge& edge : loop) wire.Add(edge);
    if (!wire.IsDone()) return end_not_planar(part, integrate_loop(loop).center);
    const BRepBuilderAPI_MakeFace flat(wire.Wire(), true);
    if (!flat.IsDone()) return end_not_planar(part, integrate_loop(loop).center);
    // The skin has its edges on the left of its own direction; the cap must use them the other way round.
    TopoDS_Face cap = flat.Face();
    if (planar_normal(cap).dot(integrate_loop(loop).vector_area) > 0) cap.Reverse();
    BRep_Builder().Add(skin.shell, cap);
    ends.push_back({cap, 0});
  }
  Result<ClosedPassage> closed = finish(skin.shell, ends, part);
  if (closed && skin.left_out > 0) {
    closed.value().warnings.push_back(geometry_warning(
        "surfaces_left_out",
        fmt::format("{} surface{} of {} {} not joined to its skin and {} left out", skin.left_out,
                    skin.left_out == 1 ? "" : "s", corefeed::quoted(part), skin.left_out == 1 ? "is" : "are",
                    skin.left_out == 1 ? "was" : "were")));
  }
  return closed;
}

}  // namespace corefeed::geometry
