// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/solids.hpp"

#include <BRepBndLib.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <cmath>

#include "cad_bridge/geometry/messages.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

int count(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind) {
  TopTools_IndexedMapOfShape found;
  TopExp::MapShapes(shape, kind, found);
  return found.Extent();
}

int faulty_faces(const BRepCheck_Analyzer& check, const TopoDS_Shape& solid) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  int faulty = 0;
  for (int i = 1; i <= faces.Extent(); ++i) faulty += check.IsValid(faces(i)) ? 0 : 1;
  return faulty;
}

}  // namespace

int open_edges(const TopoDS_Shape& shape) {
  TopTools_IndexedDataMapOfShapeListOfShape faces_of_edge;
  TopExp::MapShapesAndUniqueAncestors(shape, TopAbs_EDGE, TopAbs_FACE, faces_of_edge);
  int open = 0;
  for (int i = 1; i <= faces_of_edge.Extent(); ++i) {
    const TopoDS_Edge& edge = TopoDS::Edge(faces_of_edge.FindKey(i));
    const TopTools_ListOfShape& faces = faces_of_edge(i);
    if (faces.Extent() != 1 || BRep_Tool::Degenerated(edge)) continue;
    if (!BRep_Tool::IsClosed(edge, TopoDS::Face(faces.First()))) ++open;
  }
  return open;
}

std::string describe_surfaces(const std::vector<TopoDS_Shape>& shapes) {
  int shells = 0;
  int faces = 0;
  int open = 0;
  for (const TopoDS_Shape& shape : shapes) {
    shells += count(shape, TopAbs_SHELL);
    faces += count(shape, TopAbs_FACE);
    open += open_edges(shape);
  }
  return fmt::format("{} shell{}, {} face{}, {} open edge{}", shells, shells == 1 ? "" : "s", faces,
                     faces == 1 ? "" : "s", open, open == 1 ? "" : "s");
}

Result<SoundSolid> sound_solid(const TopoDS_Shape& solid, const std::string& part) {
  if (const int open = open_edges(solid); open > 0) {
    return geometry_error("not_closed", fmt::format("the solid {} is not closed ({}); close its skin and "
                                                    "export it again",
                                                    corefeed::quoted(part), describe_surfaces({solid})));
  }
  const BRepCheck_Analyzer check(solid);
  if (!check.IsValid()) {
    return geometry_error(
        "invalid_solid",
        fmt::format("the solid {} does not pass the geometry check: {} of its {} faces are "
                    "faulty (crossing or open rims, curves off their surface); repair it in "
                    "the CAD system and export it again",
                    corefeed::quoted(part), faulty_faces(check, solid), count(solid, TopAbs_FACE)));
  }
  // Adaptive; the fixed rule of the default is off by 1e-7 on spline walls.
  GProp_GProps properties;
  BRepGProp::VolumePropertiesGK(solid, properties, 1e-6);
  const double volume = properties.Mass() * 1e-9;
  if (!(std::abs(volume) > 0) || !std::isfinite(volume)) {
    return geometry_error("invalid_solid", fmt::format("the solid {} has no volume", corefeed::quoted(part)));
  }
  return SoundSolid{volume < 0 ? solid.Reversed() : solid, std::abs(volume)};
}

std::array<std::array<double, 3>, 2> bounding_box(const std::vector<TopoDS_Shape>& shapes) {
  Bnd_Box box;
  for (const TopoDS_Shape& shape : shapes) BRepBndLib::AddOptimal(shape, box, false, false);
  const gp_Pnt low = box.CornerMin();
  const gp_Pnt high = box.CornerMax();
  return {{{low.X() * 1e-3, low.Y() * 1e-3, low.Z() * 1e-3},
           {high.X() * 1e-3, high.Y() * 1e-3, high.Z() * 1e-3}}};
}

}  // namespace corefeed::geometry
