// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <TopoDS_Shell.hxx>
#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"

namespace corefeed::geometry {

/// Surfaces joined along their borders, all facing one way.
struct SewnSkin {
  TopoDS_Shell shell;                                ///< the largest connected skin
  std::vector<std::vector<TopoDS_Edge>> free_loops;  ///< closed, in order, as the skin uses them
  int left_out = 0;                                  ///< surfaces that are not joined to it
};

/// Sews within 0.01 mm, whatever the faces' own directions. A flange, a face whose outer rim is free while it
/// hangs on the wall by a rim inside, is left out with its bolt holes.
SewnSkin sew_skin(const TopoDS_Shape& surfaces);

/// Unit normal of a planar face as it is oriented.
Vec3 planar_normal(const TopoDS_Face& face);

}  // namespace corefeed::geometry
