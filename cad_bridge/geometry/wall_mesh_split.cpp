// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <unordered_set>
#include <utility>

#include "cad_bridge/geometry/wall_mesh.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

namespace corefeed::geometry {
namespace {

/// Enough for any duct that a car holds; a limit only against a needle-thin one of many meters.
constexpr std::size_t most_triangles = 200000;

struct Corner {
  int point = 0;
  Vec2 uv = Vec2::Zero();
};

/// First wide triangles are halved across their longest edge until each has an edge that is short enough;
/// then the long edges of these needles are divided and the strips between them zipped up. (Halving needles
/// instead would triple their number with each round.)
class Splitter {
 public:
  Splitter(WallMesh& mesh, double longest) : mesh_(mesh), longest_(longest) {}

  /// One round of halving. False when there was nothing to halve.
  bool halve() {
    marked_.clear();
    inner_.clear();
    for (const WallTriangle& triangle : mesh_.triangles) mark(triangle);
    if (marked_.empty()) return false;
    rebuild([this](std::uint64_t key) { return marked_.contains(key) ? 2 : 1; });
    return true;
  }

  void divide_needles() {
    inner_.clear();
    rebuild([this](std::uint64_t key) {
      const double length = edge_length(static_cast<int>(key & 0xFFFFFFFFU), static_cast<int>(key >> 32U));
      return std::max(1, static_cast<int>(std::ceil(length / longest_)));
    });
  }

 private:
  double edge_length(int a, int b) const {
    return (mesh_.points[static_cast<std::size_t>(b)] - mesh_.points[static_cast<std::size_t>(a)]).norm();
  }

  void mark(const WallTriangle& triangle) {
    std::array<std::pair<double, std::uint64_t>, 3> edges;
    for (std::size_t i = 0; i < 3; ++i) {
      const int a = triangle.corners[i];
      const int b = triangle.corners[(i + 1) % 3];
      edges[i] = {edge_length(a, b), edge_key(a, b)};
    }
    std::sort(edges.begin(), edges.end());
    if (edges[0].first > longest_) marked_.insert(edges[2].second);
  }

  template <class Parts>
  void rebuild(const Parts& parts) {
    std::vector<WallTriangle> old = std::exchange(mesh_.triangles, {});
    mesh_.triangles.reserve(old.size() * 2);
    for (const WallTriangle& triangle : old) {
      std::array<std::vector<Corner>, 3> sides;
      for (std::size_t i = 0; i < 3; ++i) sides[i] = side(triangle, i, parts);
      fill(sides, triangle.face);
    }
  }

  /// The points from corner i to the next, both included.
  template <class Parts>
  std::vector<Corner> side(const WallTriangle& triangle, std::size_t i, const Parts& parts) {
    const std::size_t j = (i + 1) % 3;
    const int a = triangle.corners[i];
    const int b = triangle.corners[j];
    const std::uint64_t key = edge_key(a, b);
    const int count = parts(key);
    const WallFace& face = mesh_.faces[static_cast<std::size_t>(triangle.face)];
    const Vec2& low_uv = a < b ? triangle.uv[i] : triangle.uv[j];
    const Vec2& high_uv = a < b ? triangle.uv[j] : triangle.uv[i];
    std::vector<Corner> result{{std::min(a, b), low_uv}};
    if (count > 1) {
      const std::vector<int>& points =
          inner_points(std::min(a, b), std::max(a, b), count, face, low_uv, high_uv);
      for (std::size_t k = 0; k < points.size(); ++k) {
        const double share = static_cast<double>(k + 1) / count;
        Corner corner{points[k], low_uv + share * (high_uv - low_uv)};
        move_to_foot(*face.surface, mesh_.points[static_cast<std::size_t>(corner.point)],
                     1e-9 * mesh_.diagonal, corner.uv);
        result.push_back(corner);
      }
    }
    result.push_back({std::max(a, b), high_uv});
    if (a > b) std::reverse(result.begin(), result.end());
    return result;
  }

  /// New points on an edge, from its low to its high end; made once for both triangles.
  const std::vector<int>& inner_points(int low, int high, int count, const WallFace& face, const Vec2& low_uv,
                                       const Vec2& high_uv) {
    const auto [entry, fresh] = inner_.try_emplace(edge_key(low, high));
    if (!fresh) return entry->second;
    const auto found = mesh_.stretches.find(edge_key(low, high));
    const bool on_curve = found != mesh_.stretches.end();
    const CurveStretch whole = on_curve ? found->second : CurveStretch{};
    const auto parameter = [&](int k) { return whole.low + (whole.high - whole.low) * k / count; };
    int before = low;
    for (int k = 1; k <= count; ++k) {
      const int point = k == count ? high : static_cast<int>(mesh_.points.size());
      if (on_curve) {
        const bool rising = before < point;
        mesh_.stretches[edge_key(before, point)] = {whole.curve, parameter(rising ? k - 1 : k),
                                                    parameter(rising ? k : k - 1)};
      }
      before = point;
      if (k == count) break;
      const Vec2 uv = low_uv + (high_uv - low_uv) * k / count;
      mesh_.points.push_back(
          on_curve ? evaluate(*mesh_.curves[static_cast<std::size_t>(whole.curve)], parameter(k)).position
                   : evaluate(*face.surface, uv).position);
      entry->second.push_back(point);
    }
    return entry->second;
  }

  /// Triangles between two chains of points that start at one corner and end at the ends of the third, whole
  /// side.
  void zip(const std::vector<Corner>& right, const std::vector<Corner>& left, int face) {
    const auto add = [&](const Corner& a, const Corner& b, const Corner& c) {
      mesh_.triangles.push_back({{a.point, b.point, c.point}, {a.uv, b.uv, c.uv}, face});
    };
    add(right[0], right[1], left[1]);
    std::size_t i = 1;
    std::size_t j = 1;
    while (i + 1 < right.size() || j + 1 < left.size()) {
      const bool step_right =
          j + 1 == left.size() ||
          (i + 1 < right.size() && (i + 1) * (left.size() - 1) <= (j + 1) * (right.size() - 1));
      add(right[i], step_right ? right[i + 1] : left[j + 1], left[j]);
      ++(step_right ? i : j);
    }
  }

  void fill(const std::array<std::vector<Corner>, 3>& sides, int face) {
    for (std::size_t whole = 0; whole < 3; ++whole) {
      if (sides[whole].size() > 2) continue;
      const std::vector<Corner>& left = sides[(whole + 1) % 3];   // from the whole side's end to the tip
      const std::vector<Corner>& right = sides[(whole + 2) % 3];  // from the tip to its start
      return zip(right, {left.rbegin(), left.rend()}, face);
    }
    // All three sides halved: four triangles.
    for (std::size_t i = 0; i < 3; ++i) {
      zip({sides[i][0], sides[i][1]}, {sides[i][0], sides[(i + 2) % 3][1]}, face);
    }
    mesh_.triangles.push_back({{sides[0][1].point, sides[1][1].point, sides[2][1].point},
                               {sides[0][1].uv, sides[1][1].uv, sides[2][1].uv},
                               face});
  }

  WallMesh& mesh_;
  double longest_;
  std::unordered_set<std::uint64_t> marked_;
  std::unordered_map<std::uint64_t, std::vector<int>> inner_;
};

}  // namespace

void split_long_edges(WallMesh& mesh, double longest) {
  Splitter splitter(mesh, longest);
  while (mesh.triangles.size() < most_triangles && splitter.halve()) {
  }
  if (mesh.triangles.size() < most_triangles) splitter.divide_needles();
}

}  // namespace corefeed::geometry
