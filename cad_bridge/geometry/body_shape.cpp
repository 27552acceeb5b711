// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/body_shape.hpp"

#include <Standard_Failure.hxx>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

BodyShape shape_of_solid(const Body& body) {
  BodyShape shape;
  shape.wall = thin_wall_of(body.shape, !says_duct(body));
  if (shape.wall.kind == ThinWall::Kind::panel)
    shape.holes = measure_holes(shape.wall.solid, shape.wall.holes);
  if (shape.wall.kind != ThinWall::Kind::sheet_part) return shape;
  Result<std::vector<ClosedPassage>> passages = close_sheet(shape.wall, body.name);
  if (passages) {
    shape.passages = std::move(passages).value();
  } else {
    shape.faults = passages.issues();
  }
  return shape;
}

BodyShape shape_of_surfaces(const Body& body) {
  BodyShape shape;
  Result<ClosedPassage> passage = close_shell(body.shape, body.name);
  if (passage) {
    shape.passages.push_back(std::move(passage).value());
  } else {
    shape.faults = passage.issues();
  }
  return shape;
}

}  // namespace

std::vector<TopoDS_Face> BodyShape::caps() const {
  std::vector<TopoDS_Face> faces;
  for (const ClosedPassage& passage : passages) {
    for (const Cap& cap : passage.ends) faces.push_back(cap.face);
  }
  for (const PanelHole& hole : holes) faces.insert(faces.end(), hole.covers.begin(), hole.covers.end());
  return faces;
}

std::vector<BodyShape> look_at(const std::vector<Body>& bodies) {
  std::vector<BodyShape> shapes;
  for (const Body& body : bodies) {
    BodyShape shape;
    try {
      if (!port_of(body) && body.is_solid() && !says_flow_volume(body)) shape = shape_of_solid(body);
      if (!port_of(body) && !body.is_solid()) shape = shape_of_surfaces(body);
    } catch (const Standard_Failure& failure) {
      shape = BodyShape();
      shape.faults.push_back(geometry_error(
          "kernel_failure",
          fmt::format("the geometry kernel failed on {} ({}); repair it and export it again",
                      corefeed::quoted(body.name), corefeed::quoted(failure.GetMessageString()))));
    }
    shapes.push_back(std::move(shape));
  }
  return shapes;
}

}  // namespace corefeed::geometry
