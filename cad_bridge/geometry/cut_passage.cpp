// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/cut_passage.hpp"

#include <BRepAlgoAPI_Splitter.hxx>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <Bnd_Box.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <cmath>
#include <gp_Pln.hxx>

#include "cad_bridge/geometry/planar_face.hpp"

namespace corefeed::geometry {
namespace {

bool split(BRepAlgoAPI_Splitter& splitter, const TopoDS_Shape& solid, const CutPlane& plane) {
  Bnd_Box box;
  BRepBndLib::Add(solid, box, false);
  const double reach = 2 * std::sqrt(box.SquareExtent());
  const gp_Pln place(gp_Pnt(plane.origin.x(), plane.origin.y(), plane.origin.z()),
                     gp_Dir(plane.normal.x(), plane.normal.y(), plane.normal.z()));
  TopTools_ListOfShape arguments;
  TopTools_ListOfShape tools;
  arguments.Append(solid);
  tools.Append(BRepBuilderAPI_MakeFace(place, -reach, reach, -reach, reach).Face());
  splitter.SetArguments(arguments);
  splitter.SetTools(tools);
  splitter.Build();
  return !splitter.HasErrors();
}

bool holds(const TopoDS_Shape& solid, const TopoDS_Face& face) {
  for (TopExp_Explorer each(solid, TopAbs_FACE); each.More(); each.Next()) {
    if (each.Current().IsSame(face)) return true;
  }
  return false;
}

/// The one face of a solid in the plane; null where there is none or several.
TopoDS_Face face_in(const TopoDS_Shape& solid, const CutPlane& plane) {
  constexpr double same = 1e-5;  // mm and rad
  TopoDS_Face found;
  for (TopExp_Explorer each(solid, TopAbs_FACE); each.More(); each.Next()) {
    const auto face = planar_face(TopoDS::Face(each.Current()));
    if (!face) continue;
    const Vec3 normal(face->normal.X(), face->normal.Y(), face->normal.Z());
    const Vec3 center(face->center.X(), face->center.Y(), face->center.Z());
    if (normal.cross(plane.normal).norm() > same || std::abs(plane.height(center)) > same) continue;
    if (!found.IsNull()) return {};
    found = face->face;
  }
  return found;
}

}  // namespace

std::optional<CutStretch> cut_stretch(const Stretch& whole, const CutPlane& plane, bool keep_first,
                                      const std::vector<TopoDS_Face>& ends) {
  BRepAlgoAPI_Splitter splitter;
  if (!split(splitter, whole.solid, plane)) return std::nullopt;
  const TopoDS_Face& kept = keep_first ? whole.first : whole.last;
  for (TopExp_Explorer each(splitter.Shape(), TopAbs_SOLID); each.More(); each.Next()) {
    if (!holds(each.Current(), kept)) continue;
    const TopoDS_Face cut = face_in(each.Current(), plane);
    if (cut.IsNull()) return std::nullopt;
    CutStretch result{keep_first ? Stretch{each.Current(), kept, cut} : Stretch{each.Current(), cut, kept},
                      0};
    for (const TopoDS_Face& end : ends) {
      bool held = holds(each.Current(), end);
      // A plane that runs through an end leaves new faces of it on either side.
      for (const TopoDS_Shape& part : splitter.Modified(end))
        held = held || holds(each.Current(), TopoDS::Face(part));
      result.ends += held ? 1 : 0;
    }
    return result;
  }
  return std::nullopt;
}

}  // namespace corefeed::geometry
