// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TDocStd_Document.hxx>
#include <TopoDS_Shape.hxx>
#include <functional>
#include <string>
#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"

namespace corefeed::geometry {

/// Names that a product gives to its solids, shells and faces, "" for most, and what else stands on faces.
using NameOf = std::function<std::string(const TopoDS_Shape&)>;
using MarkOf = std::function<FaceMark(const TopoDS_Shape&)>;

/// The bodies of all instances of a document, each placed in the root frame and named by its instance path.
std::vector<Body> bodies_of_document(const Handle(TDocStd_Document) & document);

/// The bodies of one shape: each solid, each loose shell or face that is a port, and one compound of the
/// other loose surfaces. `context` gives the names.
std::vector<Body> bodies_of_shape(const TopoDS_Shape& shape, const Body& context, const NameOf& name_of,
                                  const MarkOf& mark_of);

/// Appends "#1", "#2" to the names that several solids other than ports share.
void number_equal_names(std::vector<Body>& bodies);

/// Scales about the origin; for files without a unit, where the kernel took the numbers for mm.
void scale_bodies(std::vector<Body>& bodies, double factor);

}  // namespace corefeed::geometry
