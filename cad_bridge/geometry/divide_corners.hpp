// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "cad_bridge/geometry/divide.hpp"

/// Where bends and area changes come from one and the same feature of the duct.
namespace corefeed::geometry {

/// The sample nearest to a distance.
const PathSample& nearest(std::span<const PathSample> samples, double distance);

/// Changes that touch and lie within 0.6 hydraulic diameters are one step if one of them is: planes across an
/// eccentric step turn, and see it in parts. What then changes nothing is left out.
void join_steps(std::vector<AreaChange>& changes, std::span<const PathSample> samples);

/// Sections across a sharp corner are larger than the legs on either side: the diagonal of a mitre. Growth
/// and fall by the same amount around a tight turn are the corner, not a diffuser and a contraction.
void join_corners(std::vector<Bend>& bends, std::vector<AreaChange>& changes,
                  std::span<const PathSample> samples);

/// Where a duct steps to one side the line kinks there and back: part of the step, no bends.
void drop_kinks(std::vector<Bend>& bends, const std::vector<AreaChange>& changes,
                std::span<const PathSample> samples);

}  // namespace corefeed::geometry
