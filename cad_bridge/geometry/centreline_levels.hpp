// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"
#include "corefeed/result.hpp"

/// A first idea of where "along the passage" is, from the walls alone.
namespace corefeed::geometry {

/// The harmonic function on the walls, 0 on one opening's rim and 1 on the others', per vertex. Weights are
/// the cotangents of Pinkall and Polthier (1993), "Computing discrete minimal surfaces and their conjugates",
/// Experimental Mathematics 2; kept positive where plain ones would leave an extremum inside the walls.
/// Vertices that no wall joins to the openings (a body that floats in the passage) get the value of the
/// nearest joined one. Error `no_path` when the walls do not join the openings.
Result<std::vector<double>> solve_levels(const WallMesh& mesh, int from, const std::vector<int>& to);

/// The walls' level curve in short.
struct LevelCenter {
  double level = 0;
  Vec3 position = Vec3::Zero();  ///< mean point
  Vec3 normal = Vec3::Zero();    ///< direction of the vector area it encloses, unit, towards higher levels
};

/// Centers of `count` levels between 0 and 1, both left out.
std::vector<LevelCenter> level_centers(const WallMesh& mesh, const std::vector<double>& levels, int from,
                                       int to, int count);

}  // namespace corefeed::geometry
