// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <optional>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

namespace corefeed::geometry {

/// A stretch of a passage between two planar faces.
struct Stretch {
  TopoDS_Shape solid;
  TopoDS_Face first;
  TopoDS_Face last;
};

struct CutStretch {
  Stretch stretch;
  int ends = 0;  ///< how many of the faces asked about it holds, at least in part
};

/// Cuts a stretch by a plane and keeps the side that holds its first end (`keep_first`) or its last one; the
/// cut takes the place of the other. Nothing where the plane leaves no single face there.
std::optional<CutStretch> cut_stretch(const Stretch& whole, const CutPlane& plane, bool keep_first,
                                      const std::vector<TopoDS_Face>& ends);

}  // namespace corefeed::geometry
