// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"

namespace corefeed::geometry {

/// Unit tangents of a curve given by points, by local quadratic least squares over `window` points to either
/// side (the same number of points, one-sided, near the ends).
std::vector<Vec3> smooth_tangents(std::span<const Vec3> points, int window);

/// The same from few points, but where the curve's bending changes abruptly (a bend begins) from the side
/// that a quadratic fits better: a fit across the change would tilt the section planes there. Needs exact
/// points.
std::vector<Vec3> sharp_tangents(std::span<const Vec3> points);

}  // namespace corefeed::geometry
