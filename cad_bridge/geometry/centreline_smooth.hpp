// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "cad_bridge/geometry/section.hpp"

namespace corefeed::geometry {

/// How far apart (mm) features of the line must lie to be told from an echo of the planes' own tilt, at every
/// section: where the walls diverge, a plane tilted by d has its center of area off by K d, and a line
/// through such centers tilts the next plane. Waves shorter than about K would grow from pass to pass. 0
/// where the area is constant, so that the ends of a bend stay sharp, and across steps. Sections in order at
/// `distances`.
std::vector<double> echo_lengths(std::span<const Section> sections, std::span<const double> distances);

/// Evenly spaced points without the waves that are shorter than the length given for each; circles and
/// parabolas pass unchanged, and so does everything where the length is 0. The first and the last stay.
std::vector<Vec3> smooth_points(std::span<const Vec3> points, std::span<const double> lengths);

}  // namespace corefeed::geometry
