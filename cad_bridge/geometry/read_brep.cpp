// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/read_brep.hpp"

#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <iterator>
#include <sstream>

#include "cad_bridge/geometry/bodies.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {

namespace {

TopoDS_Shape shape_of(const std::string& text) {
  // A shape alone in its stream: the kernel's reader leaves it wherever it stopped.
  std::istringstream stream(text);
  TopoDS_Shape shape;
  BRepTools::Read(shape, stream, BRep_Builder());
  return shape;
}

}  // namespace

void take_as_text(std::vector<Body>& bodies) {
  for (Body& body : bodies) {
    std::ostringstream text;
    BRepTools::Write(body.shape, text);
    const TopoDS_Shape shape = shape_of(text.str());
    if (!shape.IsNull()) body.shape = shape;
  }
}

Result<CadFile> read_brep(std::istream& text, const std::vector<HandedShape>& shapes) {
  const std::string all{std::istreambuf_iterator<char>(text), {}};
  const auto no_name = [](const TopoDS_Shape&) { return std::string(); };
  const auto no_mark = [](const TopoDS_Shape&) { return FaceMark(); };
  CadFile file{"mm", {}, {}};
  std::size_t begin = 0;
  for (const HandedShape& handed : shapes) {
    const TopoDS_Shape shape =
        shape_of(begin <= all.size() ? all.substr(begin, handed.bytes) : std::string());
    begin += handed.bytes;
    if (shape.IsNull()) {
      return geometry_error("not_brep", fmt::format("the shape {} is no BREP text", quoted(handed.name)));
    }
    Body context;
    context.name = handed.name;
    context.product = handed.name;
    for (Body& body : bodies_of_shape(shape, context, no_name, no_mark)) {
      file.bodies.push_back(std::move(body));
    }
  }
  return file;
}

}  // namespace corefeed::geometry
