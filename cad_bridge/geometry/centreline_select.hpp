// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "cad_bridge/geometry/section.hpp"

namespace corefeed::geometry {

/// The loops of a cut that belong to one station.
struct Selection {
  std::vector<Outline> outlines;
  double level = 0;   ///< mean of the outer loops, weighted by perimeter
  double spread = 0;  ///< how far the loops reach along the passage, as a distance
};

/// A plane through a bent passage also cuts it elsewhere. Loops belong together when the harmonic function
/// puts them at the same distance along the passage: both sides of a vane do, the other leg of a U does not.
/// Holes belong to the loop around them.
Selection select_loops(const std::vector<CutLoop>& loops, double distance,
                       const std::function<double(double)>& distance_of_level);

}  // namespace corefeed::geometry
