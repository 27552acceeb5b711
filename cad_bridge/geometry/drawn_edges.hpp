// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"

namespace corefeed::geometry {

/// The edges of a shape that one would draw: where its skin ends or turns by more than 12 degrees. Nothing
/// for a shape of more than 5,000 edges, which would be a grey blot.
std::vector<Curve> drawn_edges(const TopoDS_Shape& shape);

}  // namespace corefeed::geometry
