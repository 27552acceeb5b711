// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/branches.hpp"

#include <algorithm>
#include <numeric>
#include <set>

#include "cad_bridge/geometry/centreline_levels.hpp"
#include "cad_bridge/geometry/messages.hpp"

namespace corefeed::geometry {
namespace {

class Splits {
 public:
  Splits(const WallMesh& mesh, const std::vector<double>& levels, int trunk, int branch)
      : mesh_(mesh), levels_(levels), trunk_(trunk), branch_(branch) {}

  std::vector<Split> run() const {
    std::vector<std::size_t> saddles = find_saddles();
    std::sort(saddles.begin(), saddles.end(),
              [this](std::size_t a, std::size_t b) { return levels_[a] < levels_[b]; });
    std::vector<std::size_t> passed;
    std::set<int> company = companions(components(0, true));
    for (const std::size_t saddle : saddles) {
      const std::set<int> after = companions(components(levels_[saddle], false));
      if (after.size() < company.size()) passed.push_back(saddle);
      company = after;
    }
    std::vector<Split> splits;
    for (std::size_t i = 0; i < passed.size(); ++i) {
      const double here = levels_[passed[i]];
      const double last = i == 0 ? 0.0 : levels_[passed[i - 1]];
      const double next = i + 1 == passed.size() ? 1.0 : levels_[passed[i + 1]];
      splits.push_back({mesh_.points[passed[i]], direction(last, 0.5 * (last + here)),
                        direction(here, 0.5 * (here + next))});
    }
    return splits;
  }

 private:
  double value(int vertex) const { return levels_[static_cast<std::size_t>(vertex)]; }

  /// Vertices off the ends round which the function rises and falls twice.
  std::vector<std::size_t> find_saddles() const {
    std::vector<int> changes(mesh_.points.size(), 0);
    std::vector<char> fixed(mesh_.points.size(), 0);
    for (const WallTriangle& triangle : mesh_.triangles) {
      const bool end = mesh_.faces[static_cast<std::size_t>(triangle.face)].opening >= 0;
      for (std::size_t i = 0; i < 3; ++i) {
        const auto vertex = static_cast<std::size_t>(triangle.corners[i]);
        if (end) fixed[vertex] = 1;
        const bool a = value(triangle.corners[(i + 1) % 3]) > levels_[vertex];
        const bool b = value(triangle.corners[(i + 2) % 3]) > levels_[vertex];
        changes[vertex] += a != b ? 1 : 0;
      }
    }
    std::vector<std::size_t> saddles;
    for (std::size_t vertex = 0; vertex < changes.size(); ++vertex) {
      if (fixed[vertex] == 0 && changes[vertex] >= 4) saddles.push_back(vertex);
    }
    return saddles;
  }

  /// Numbers of the connected stretches of wall above a level; vertices below it are alone.
  std::vector<int> components(double level, bool inclusive) const {
    std::vector<int> parent(mesh_.points.size());
    std::iota(parent.begin(), parent.end(), 0);
    const auto root = [&parent](int vertex) {
      while (parent[static_cast<std::size_t>(vertex)] != vertex) {
        int& up = parent[static_cast<std::size_t>(vertex)];
        up = parent[static_cast<std::size_t>(up)];
        vertex = up;
      }
      return vertex;
    };
    const auto above = [&](int vertex) { return inclusive ? value(vertex) >= level : value(vertex) > level; };
    for (const WallTriangle& triangle : mesh_.triangles) {
      for (std::size_t i = 0; i < 3; ++i) {
        const int a = triangle.corners[i];
        const int b = triangle.corners[(i + 1) % 3];
        if (above(a) && above(b)) parent[static_cast<std::size_t>(root(a))] = root(b);
      }
    }
    for (std::size_t vertex = 0; vertex < parent.size(); ++vertex)
      parent[vertex] = root(static_cast<int>(vertex));
    return parent;
  }

  int any_vertex(int opening) const {
    for (std::size_t i = 0; i < mesh_.triangles.size(); ++i) {
      if (mesh_.on_opening(static_cast<int>(i), opening)) return mesh_.triangles[i].corners[0];
    }
    return 0;
  }

  /// Ends other than the trunk on the branch's own stretch of wall.
  std::set<int> companions(const std::vector<int>& component) const {
    const int own = component[static_cast<std::size_t>(any_vertex(branch_))];
    std::set<int> found;
    for (const WallTriangle& triangle : mesh_.triangles) {
      const int opening = mesh_.faces[static_cast<std::size_t>(triangle.face)].opening;
      if (opening >= 0 && opening != trunk_ &&
          component[static_cast<std::size_t>(triangle.corners[0])] == own)
        found.insert(opening);
    }
    return found;
  }

  /// Direction of the vector area that the level curve encloses on the branch's own stretch of wall above
  /// `from`.
  Vec3 direction(double from, double level) const {
    const std::vector<int> component = components(from, false);
    const int own = component[static_cast<std::size_t>(any_vertex(branch_))];
    Vec3 area = Vec3::Zero();
    const Vec3 origin = mesh_.points.front();
    for (std::size_t index = 0; index < mesh_.triangles.size(); ++index) {
      const WallTriangle& triangle = mesh_.triangles[index];
      if (mesh_.faces[static_cast<std::size_t>(triangle.face)].opening >= 0) continue;
      std::array<int, 3> c = triangle.corners;
      std::sort(c.begin(), c.end(), [this](int a, int b) { return value(a) < value(b); });
      if (!(value(c[0]) <= level && level < value(c[2])) || component[static_cast<std::size_t>(c[2])] != own)
        continue;
      const auto crossing = [&](int a, int b) -> Vec3 {
        const double share = (level - value(a)) / (value(b) - value(a));
        const Vec3& start = mesh_.points[static_cast<std::size_t>(a)];
        return start + share * (mesh_.points[static_cast<std::size_t>(b)] - start);
      };
      const Vec3 far = crossing(c[0], c[2]);
      const Vec3 near = level < value(c[1]) ? crossing(c[0], c[1]) : crossing(c[1], c[2]);
      const Vec3 rise =
          mesh_.points[static_cast<std::size_t>(c[2])] - mesh_.points[static_cast<std::size_t>(c[0])];
      const bool forward = (far - near).dot(rise.cross(mesh_.triangle_normal(static_cast<int>(index)))) > 0;
      const Vec3 twice = (near - origin).cross(far - origin);
      area += forward ? twice : Vec3(-twice);
    }
    return area.norm() > 0 ? Vec3(area.normalized()) : Vec3(Vec3::UnitX());
  }

  const WallMesh& mesh_;
  const std::vector<double>& levels_;
  int trunk_;
  int branch_;
};

}  // namespace

Result<std::vector<Split>> find_splits(const WallMesh& mesh, int trunk, int branch, int openings) {
  std::vector<int> others;
  for (int opening = 0; opening < openings; ++opening) {
    if (opening != trunk) others.push_back(opening);
  }
  const Result<std::vector<double>> levels = solve_levels(mesh, trunk, others);
  if (!levels) return levels.issues();
  std::vector<Split> splits = Splits(mesh, levels.value(), trunk, branch).run();
  if (splits.empty()) return geometry_error("no_split", "the place where the passage divides was not found");
  return splits;
}

}  // namespace corefeed::geometry
