// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numbers>
#include <set>

#include "cad_bridge/geometry/wall_mesh.hpp"

namespace corefeed::geometry {

std::vector<int> sharp_vertices(const WallMesh& mesh) {
  const double flat = std::cos(std::numbers::pi / 15);
  std::unordered_map<std::uint64_t, int> first;  // triangle by edge
  std::set<int> sharp;
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    const WallTriangle& triangle = mesh.triangles[i];
    const Vec3 normal = mesh.triangle_normal(static_cast<int>(i)).normalized();
    for (std::size_t k = 0; k < 3; ++k) {
      const int a = triangle.corners[k];
      const int b = triangle.corners[(k + 1) % 3];
      const auto [other, is_new] = first.emplace(edge_key(a, b), static_cast<int>(i));
      if (is_new || mesh.triangles[static_cast<std::size_t>(other->second)].face == triangle.face) continue;
      if (normal.dot(mesh.triangle_normal(other->second).normalized()) > flat) continue;
      sharp.insert(a);
      sharp.insert(b);
    }
  }
  return {sharp.begin(), sharp.end()};
}

}  // namespace corefeed::geometry
