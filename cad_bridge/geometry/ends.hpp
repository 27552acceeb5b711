// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <cstddef>
#include <vector>

#include "cad_bridge/geometry/planar_face.hpp"
#include "corefeed/result.hpp"

/// Which faces of a flow volume are its ends, when nothing but the shape tells.
namespace corefeed::geometry {

/// A planar face that may be an end: its whole rim is a sharp convex edge (over 30 degrees), or it is named.
struct EndCandidate {
  int index = 0;  ///< of the face, from 1, in the order of `TopExp::MapShapes`
  PlanarFace face;
  std::vector<std::size_t> neighbors;  ///< candidates that share an edge with this one
};

/// The candidates of a solid that is oriented outward, in face order; the planar ones of `named` faces (from
/// 1) whatever their rim.
std::vector<EndCandidate> end_candidates(const TopoDS_Shape& solid, const std::vector<int>& named);

struct ChosenEnds {
  std::vector<std::size_t> chosen;  ///< candidates, ascending; the given ones included
  bool unique = true;               ///< false where another choice has the same total area
};

/// The maximal set of two or more candidates without a common edge, `given` among them, that has the smallest
/// total area; empty if there is none. Error ends_undecided where too many faces could be ends to try.
Result<ChosenEnds> choose_ends(const std::vector<EndCandidate>& candidates,
                               const std::vector<std::size_t>& given);

}  // namespace corefeed::geometry
