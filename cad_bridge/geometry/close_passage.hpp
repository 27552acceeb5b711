// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <string>
#include <vector>

#include "cad_bridge/geometry/thin_wall.hpp"
#include "corefeed/result.hpp"

/// The air inside walls, as the closed solid that it would be as a flow volume.
namespace corefeed::geometry {

/// A flat face over an end of the walls.
struct Cap {
  TopoDS_Face face;  ///< of the solid, its normal out of the passage
  int skin = 0;      ///< the wall's own face around it, from 1; 0 for a shell
};

struct ClosedPassage {
  TopoDS_Shape solid;  ///< oriented outward
  double volume = 0;   ///< m3
  std::vector<Cap> ends;
  std::vector<Issue> warnings;
};

/// The inner skin of each passage of a sheet part, closed at its mouths; bolt holes and other small holes in
/// it are closed too and are no ends. Errors: end_not_planar, and those of `sound_solid`.
Result<std::vector<ClosedPassage>> close_sheet(const ThinWall& wall, const std::string& part);

/// Loose surfaces, sewn within 0.01 mm and oriented, flanges left out; each free loop is an end. Warning
/// surfaces_left_out for surfaces that do not belong to the largest skin. Errors: not_closed, end_not_planar,
/// and those of `sound_solid`.
Result<ClosedPassage> close_shell(const TopoDS_Shape& surfaces, const std::string& part);

}  // namespace corefeed::geometry
