// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline_levels.hpp"

#include <Eigen/Geometry>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace corefeed::geometry {
namespace {

/// Least weight of an edge where positive weights are asked for; plain cotangents are of order 1.
constexpr double least_weight = 0.01;
/// Sine of a triangle's angle below which it is a sliver that says nothing about the shape.
constexpr double least_sine = 1e-7;

class Walls {
 public:
  Walls(const WallMesh& mesh, int from, const std::vector<int>& to)
      : mesh_(mesh), values_(mesh.points.size(), -1.0), fixed_(mesh.points.size(), 0) {
    for (std::size_t index = 0; index < mesh.triangles.size(); ++index) {
      const int number = static_cast<int>(index);
      const bool at_from = mesh.on_opening(number, from);
      const bool at_to =
          std::any_of(to.begin(), to.end(), [&](int opening) { return mesh.on_opening(number, opening); });
      if (at_from || at_to) {
        fix(number, at_from ? 0.0 : 1.0);
      } else {
        add_weights(number);
      }
    }
  }

  /// Vertices that walls join to the first opening.
  std::vector<char> joined() const {
    std::vector<std::vector<int>> neighbors(values_.size());
    for (const auto& [key, weight] : weights_) {
      const auto low = static_cast<std::size_t>(key & 0xFFFFFFFFU);
      const auto high = static_cast<std::size_t>(key >> 32U);
      neighbors[low].push_back(static_cast<int>(high));
      neighbors[high].push_back(static_cast<int>(low));
    }
    std::vector<char> seen(values_.size(), 0);
    std::vector<int> stack;
    for (std::size_t vertex = 0; vertex < values_.size(); ++vertex) {
      if (fixed_[vertex] != 0 && values_[vertex] == 0.0) {
        seen[vertex] = 1;
        stack.push_back(static_cast<int>(vertex));
      }
    }
    while (!stack.empty()) {
      const int vertex = stack.back();
      stack.pop_back();
      for (const int next : neighbors[static_cast<std::size_t>(vertex)]) {
        if (std::exchange(seen[static_cast<std::size_t>(next)], static_cast<char>(1)) == 0)
          stack.push_back(next);
      }
    }
    return seen;
  }

  bool reaches_second(const std::vector<char>& joined_vertices) const {
    for (std::size_t vertex = 0; vertex < values_.size(); ++vertex) {
      if (fixed_[vertex] != 0 && values_[vertex] == 1.0 && joined_vertices[vertex] != 0) return true;
    }
    return false;
  }

  /// Every value lies between those of its neighbors, so the level curves close round the passage.
  bool without_extrema(const std::vector<char>& joined_vertices) const {
    std::vector<char> has_lower(values_.size(), 0);
    std::vector<char> has_higher(values_.size(), 0);
    for (const auto& [key, weight] : weights_) {
      const auto a = static_cast<std::size_t>(key & 0xFFFFFFFFU);
      const auto b = static_cast<std::size_t>(key >> 32U);
      (values_[a] <= values_[b] ? has_higher[a] : has_lower[a]) = 1;
      (values_[b] <= values_[a] ? has_higher[b] : has_lower[b]) = 1;
    }
    for (std::size_t vertex = 0; vertex < values_.size(); ++vertex) {
      if (fixed_[vertex] != 0 || joined_vertices[vertex] == 0) continue;
      if (has_lower[vertex] == 0 || has_higher[vertex] == 0) return false;
    }
    return true;
  }

  /// False when the equations cannot be solved.
  bool solve(const std::vector<char>& joined_vertices, bool positive) {
    std::vector<int> row(values_.size(), -1);
    int count = 0;
    for (std::size_t vertex = 0; vertex < values_.size(); ++vertex) {
      if (fixed_[vertex] == 0 && joined_vertices[vertex] != 0) row[vertex] = count++;
    }
    std::vector<Eigen::Triplet<double>> entries;
    Eigen::VectorXd right = Eigen::VectorXd::Zero(count);
    for (const auto& [key, plain] : weights_) {
      const double weight = positive ? std::max(plain, least_weight) : plain;
      const std::array<std::size_t, 2> ends{key & 0xFFFFFFFFU, key >> 32U};
      for (std::size_t i = 0; i < 2; ++i) {
        const int self = row[ends[i]];
        const int other = row[ends[1 - i]];
        if (self < 0) continue;
        entries.emplace_back(self, self, weight);
        if (other >= 0) entries.emplace_back(self, other, -weight);
        if (other < 0) right[self] += weight * values_[ends[1 - i]];
      }
    }
    if (count == 0) return true;
    Eigen::SparseMatrix<double> matrix(count, count);
    matrix.setFromTriplets(entries.begin(), entries.end());
    const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(matrix);
    if (solver.info() != Eigen::Success) return false;
    const Eigen::VectorXd solution = solver.solve(right);
    for (std::size_t vertex = 0; vertex < values_.size(); ++vertex) {
      if (row[vertex] >= 0) values_[vertex] = solution[row[vertex]];
    }
    return true;
  }

  std::vector<double> take_values() { return std::move(values_); }

 private:
  void fix(int triangle, double value) {
    for (const int corner : mesh_.triangles[static_cast<std::size_t>(triangle)].corners) {
      values_[static_cast<std::size_t>(corner)] = value;
      fixed_[static_cast<std::size_t>(corner)] = 1;
    }
  }

  void add_weights(int triangle) {
    const auto& corners = mesh_.triangles[static_cast<std::size_t>(triangle)].corners;
    for (std::size_t i = 0; i < 3; ++i) {
      const int a = corners[(i + 1) % 3];
      const int b = corners[(i + 2) % 3];
      const Vec3& tip = mesh_.points[static_cast<std::size_t>(corners[i])];
      const Vec3 to_a = mesh_.points[static_cast<std::size_t>(a)] - tip;
      const Vec3 to_b = mesh_.points[static_cast<std::size_t>(b)] - tip;
      const double sine = to_a.cross(to_b).norm();
      const bool sliver = sine <= least_sine * to_a.norm() * to_b.norm();
      weights_[edge_key(a, b)] += sliver ? 0.0 : 0.5 * to_a.dot(to_b) / sine;
    }
  }

  const WallMesh& mesh_;
  std::vector<double> values_;
  std::vector<char> fixed_;
  std::unordered_map<std::uint64_t, double> weights_;
};

void lend_to_floating(const WallMesh& mesh, const std::vector<char>& joined, std::vector<double>& values) {
  for (std::size_t vertex = 0; vertex < values.size(); ++vertex) {
    if (joined[vertex] != 0 || values[vertex] >= 0) continue;
    double nearest = std::numeric_limits<double>::max();
    for (std::size_t other = 0; other < values.size(); ++other) {
      const double away = (mesh.points[other] - mesh.points[vertex]).squaredNorm();
      if (joined[other] == 0 || away >= nearest) continue;
      nearest = away;
      values[vertex] = values[other];
    }
  }
}

}  // namespace

Result<std::vector<double>> solve_levels(const WallMesh& mesh, int from, const std::vector<int>& to) {
  Walls walls(mesh, from, to);
  const std::vector<char> joined = walls.joined();
  if (!walls.reaches_second(joined)) {
    return Issue{"no_path",
                 Severity::error,
                 Status::geometry,
                 {},
                 "The walls do not join the two openings; expected one passage between them."};
  }
  // Plain weights are the more accurate, but only positive ones are certain to give no extrema.
  const bool plain = walls.solve(joined, false) && walls.without_extrema(joined);
  if (!plain && !walls.solve(joined, true)) {
    return Issue{"no_path",
                 Severity::error,
                 Status::geometry,
                 {},
                 "No direction along the passage could be found between the two openings."};
  }
  std::vector<double> values = walls.take_values();
  lend_to_floating(mesh, joined, values);
  return values;
}

std::vector<LevelCenter> level_centers(const WallMesh& mesh, const std::vector<double>& levels, int from,
                                       int to, int count) {
  std::vector<Vec3> sums(static_cast<std::size_t>(count), Vec3::Zero());
  std::vector<Vec3> areas(static_cast<std::size_t>(count), Vec3::Zero());
  std::vector<double> lengths(static_cast<std::size_t>(count), 0.0);
  const Vec3 origin = mesh.points.empty() ? Vec3(Vec3::Zero()) : mesh.points.front();
  for (std::size_t index = 0; index < mesh.triangles.size(); ++index) {
    if (mesh.on_opening(static_cast<int>(index), from) || mesh.on_opening(static_cast<int>(index), to))
      continue;
    std::array<int, 3> c = mesh.triangles[index].corners;
    const Vec3 outward = mesh.triangle_normal(static_cast<int>(index));
    const auto value = [&](int vertex) { return levels[static_cast<std::size_t>(vertex)]; };
    std::sort(c.begin(), c.end(), [&](int a, int b) { return value(a) < value(b); });
    const auto crossing = [&](int a, int b, double level) -> Vec3 {
      const double share = (level - value(a)) / (value(b) - value(a));
      const Vec3& start = mesh.points[static_cast<std::size_t>(a)];
      return start + share * (mesh.points[static_cast<std::size_t>(b)] - start);
    };
    const int lowest = std::max(0, static_cast<int>(std::ceil(value(c[0]) * (count + 1))) - 1);
    for (int k = lowest; k < count; ++k) {
      const double level = static_cast<double>(k + 1) / (count + 1);
      if (level >= value(c[2])) break;
      if (level < value(c[0])) continue;
      const Vec3 far = crossing(c[0], c[2], level);
      const Vec3 near = level < value(c[1]) ? crossing(c[0], c[1], level) : crossing(c[1], c[2], level);
      const double length = (far - near).norm();
      const Vec3& low_point = mesh.points[static_cast<std::size_t>(c[0])];
      const Vec3& high_point = mesh.points[static_cast<std::size_t>(c[2])];
      // Seen against the direction of higher levels, the curve runs counterclockwise.
      const bool forward = (far - near).dot((high_point - low_point).cross(outward)) > 0;
      const Vec3 twice = (near - origin).cross(far - origin);
      areas[static_cast<std::size_t>(k)] += forward ? twice : Vec3(-twice);
      sums[static_cast<std::size_t>(k)] += 0.5 * length * (far + near);
      lengths[static_cast<std::size_t>(k)] += length;
    }
  }
  std::vector<LevelCenter> centers;
  for (int k = 0; k < count; ++k) {
    const auto i = static_cast<std::size_t>(k);
    if (!(lengths[i] > 0) || !(areas[i].norm() > 0)) continue;
    centers.push_back(
        {static_cast<double>(k + 1) / (count + 1), sums[i] / lengths[i], areas[i].normalized()});
  }
  return centers;
}

}  // namespace corefeed::geometry
