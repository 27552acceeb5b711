// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/triangles.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

/// What stands close before or behind an opening. Lengths in mm; results in SI units.
namespace corefeed::geometry {

/// An opening as seen along its normal.
struct View {
  CutPlane plane;                           ///< normal out of the passage or out of the panel's outer skin
  std::vector<std::vector<Vec3>> outlines;  ///< its rim; holes in it count as such
  double perimeter = 0;
  double reach = 0;             ///< how far a body may stand off: two hydraulic diameters
  double thickness = 0;         ///< of the panel, against the normal; 0 for the end of a duct
  std::vector<Triangle> skin;   ///< the outer skin continued across the opening; empty: the plane itself
  std::vector<Triangle> walls;  ///< of the passage behind the end of a duct: nothing is seen through them
};

/// A body that may stand in the way.
struct Obstacle {
  std::string part;
  const std::vector<Triangle>* triangles = nullptr;
};

struct Obstruction {
  std::vector<Blocker>
      blocked_by;    ///< in the order of the obstacles; those that cover less than 0.1 % left out
  double share = 0;  ///< covered by any of them
};

Obstruction look_through(const View& view, const std::vector<Obstacle>& obstacles);

}  // namespace corefeed::geometry
