// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/wall_mesh.hpp"

/// Curves with no more points than it takes to draw them.
namespace corefeed::geometry {

/// Which points a closed curve needs to stay within `tolerance` of all of them (Douglas and Peucker 1973),
/// from the first one on and closed by the number of points itself.
std::vector<std::size_t> corners_of_loop(std::span<const Vec3> points, double tolerance);

/// The same of an open curve: both ends and what it needs between.
std::vector<std::size_t> corners_of_line(std::span<const Vec3> points, double tolerance);

/// A closed curve in mm as one to draw, in m: thinned to within 0.02 % of its extent. Empty for fewer than
/// three points.
Curve drawn_loop(std::span<const Vec3> points);

/// An open one, within `tolerance` (mm).
Curve drawn_line(std::span<const Vec3> points, double tolerance);

}  // namespace corefeed::geometry
