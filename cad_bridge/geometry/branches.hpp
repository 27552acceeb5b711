// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"
#include "corefeed/result.hpp"

/// Where a passage with several ends divides. Lengths in mm.
namespace corefeed::geometry {

/// A place at which ends part company on the way from the trunk.
struct Split {
  Vec3 crotch = Vec3::Zero();  ///< the wall's point between the branches
  Vec3 before = Vec3::Zero();  ///< direction of the common passage ahead of it, away from the trunk, unit
  Vec3 after = Vec3::Zero();   ///< direction of the branch that leads on, unit
};

/// The splits on the way from opening `trunk` to opening `branch`, in order: the saddles of the harmonic
/// function that is 0 at the trunk and 1 at all other ends. Errors: no_path, and no_split where the ends
/// never part.
Result<std::vector<Split>> find_splits(const WallMesh& mesh, int trunk, int branch, int openings);

}  // namespace corefeed::geometry
