// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <array>
#include <string>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// Edges that bound one face only, seams and degenerated edges left out: 0 for a closed skin.
int open_edges(const TopoDS_Shape& shape);

/// "2 shells, 12 faces, 16 open edges", for messages.
std::string describe_surfaces(const std::vector<TopoDS_Shape>& shapes);

struct SoundSolid {
  TopoDS_Shape solid;  ///< oriented outward
  double volume = 0;   ///< m3
};

/// Checks that a solid is closed, passes the kernel's own check and has a volume. Errors: not_closed,
/// invalid_solid.
Result<SoundSolid> sound_solid(const TopoDS_Shape& solid, const std::string& part);

/// Corners of the smallest box along the axes, m; from the true surfaces, without their tolerances. The
/// shapes must not all be empty.
std::array<std::array<double, 3>, 2> bounding_box(const std::vector<TopoDS_Shape>& shapes);

}  // namespace corefeed::geometry
