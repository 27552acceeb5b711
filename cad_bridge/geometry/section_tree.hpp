// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

namespace corefeed::geometry {

/// Boxes around ever smaller groups of triangles, so that a cut looks only at triangles near the plane: its
/// cost grows with the triangles cut, not with all.
class SectionTree {
 public:
  explicit SectionTree(const WallMesh& mesh);

  /// Indices of triangles that the plane may cut, in ascending order.
  std::vector<int> near(const CutPlane& plane) const;

 private:
  struct Node {
    Vec3 center;
    Vec3 half;  ///< half the box's sides
    int first;  ///< first triangle in `order_`
    int count;  ///< 0: inner node, its children follow: left at +1, right at `right`
    int right;
  };

  int build(int first, int count, const std::vector<Vec3>& low, const std::vector<Vec3>& high);

  std::vector<Node> nodes_;
  std::vector<int> order_;
};

}  // namespace corefeed::geometry
