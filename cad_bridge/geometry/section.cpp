// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/section.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

namespace corefeed::geometry {
namespace {

/// Where a plane crosses a mesh edge.
struct Crossing {
  Vec3 position;
  double share = 0;  ///< of the way from the lower vertex to the higher
  bool on_curve = false;
  double level = 0;
  int face = -1;  ///< on whose surface `parameter` and `tangents` are known; -1 for none
  Vec2 parameter = Vec2::Zero();
  SurfacePoint tangents{};
};

/// A triangle cut by the plane: the curve runs from its edge `entry` to its edge `leave`.
struct Piece {
  int triangle = 0;
  std::uint64_t entry = 0;
  std::uint64_t leave = 0;
};

class Cutter {
 public:
  Cutter(const WallMesh& mesh, const CutPlane& plane, const std::vector<double>& levels, Accuracy accuracy)
      : mesh_(mesh), plane_(plane), frame_(plane), levels_(levels), accuracy_(accuracy) {}

  std::vector<CutLoop> loops(const std::vector<int>& candidates) {
    collect(candidates);
    std::vector<CutLoop> result;
    std::vector<char> used(pieces_.size(), 0);
    for (std::size_t start = 0; start < pieces_.size(); ++start) {
      if (used[start] != 0) continue;
      const std::vector<std::size_t> chain = follow(start, used);
      if (!chain.empty()) result.push_back(measure(chain));
    }
    std::stable_sort(result.begin(), result.end(), [](const CutLoop& a, const CutLoop& b) {
      return std::abs(a.outline.area) > std::abs(b.outline.area);
    });
    return result;
  }

 private:
  const Vec3& point(int vertex) const { return mesh_.points[static_cast<std::size_t>(vertex)]; }

  void collect(const std::vector<int>& candidates) {
    for (const int index : candidates) {
      const WallTriangle& triangle = mesh_.triangles[static_cast<std::size_t>(index)];
      Piece piece{index, 0, 0};
      int changes = 0;
      for (std::size_t i = 0; i < 3; ++i) {
        const int a = triangle.corners[i];
        const int b = triangle.corners[(i + 1) % 3];
        // A vertex in the plane counts as above it, so every curve closes whatever the plane touches.
        const bool a_above = plane_.height(point(a)) >= 0;
        const bool b_above = plane_.height(point(b)) >= 0;
        if (a_above == b_above) continue;
        ++changes;
        // Seen against the normal, the inside of the passage lies to the left of the curve.
        (a_above ? piece.entry : piece.leave) = edge_key(a, b);
        add_crossing(std::min(a, b), std::max(a, b), triangle);
      }
      if (changes == 2) {
        starting_.emplace(piece.entry, pieces_.size());
        pieces_.push_back(piece);
      }
    }
  }

  void add_crossing(int low, int high, const WallTriangle& triangle) {
    const std::uint64_t key = edge_key(low, high);
    if (crossings_.contains(key)) return;
    Crossing crossing;
    const double low_height = plane_.height(point(low));
    const double high_height = plane_.height(point(high));
    crossing.share = std::clamp(low_height / (low_height - high_height), 0.0, 1.0);
    crossing.position = point(low) + crossing.share * (point(high) - point(low));
    crossing.level =
        levels_[static_cast<std::size_t>(low)] +
        crossing.share * (levels_[static_cast<std::size_t>(high)] - levels_[static_cast<std::size_t>(low)]);
    if (accuracy_ == Accuracy::exact) put_back(crossing, low, high, triangle);
    crossings_.emplace(key, crossing);
  }

  /// Moves the crossing from the mesh edge to the true curve or surface, unless that leads far away.
  void put_back(Crossing& crossing, int low, int high, const WallTriangle& triangle) const {
    const double reach = 0.5 * (point(high) - point(low)).norm();
    const auto stretch = mesh_.stretches.find(edge_key(low, high));
    Vec3 exact = crossing.position;
    if (stretch != mesh_.stretches.end()) {
      const BRepAdaptor_Curve& curve = *mesh_.curves[static_cast<std::size_t>(stretch->second.curve)];
      const double at = cross_plane(curve, plane_, stretch->second.low, stretch->second.high, tolerance());
      exact = evaluate(curve, at).position;
      crossing.on_curve = true;
    } else {
      const WallFace& face = mesh_.faces[static_cast<std::size_t>(triangle.face)];
      if (face.flat) return;
      crossing.parameter = parameter(triangle, low, high, crossing.share);
      if (const auto at = move_to_plane(*face.surface, plane_, tolerance(), crossing.parameter)) {
        exact = at->position;
        crossing.tangents = *at;
        crossing.face = triangle.face;
      }
    }
    if ((exact - crossing.position).norm() <= reach) {
      crossing.position = exact;
    } else {
      crossing.face = -1;
    }
  }

  static Vec2 parameter(const WallTriangle& triangle, int low, int high, double share) {
    Vec2 at_low = triangle.uv[0];
    Vec2 at_high = triangle.uv[0];
    for (std::size_t i = 0; i < 3; ++i) {
      if (triangle.corners[i] == low) at_low = triangle.uv[i];
      if (triangle.corners[i] == high) at_high = triangle.uv[i];
    }
    return at_low + share * (at_high - at_low);
  }

  double tolerance() const { return 1e-10 * mesh_.diagonal; }

  /// The pieces of a closed curve from `start` on; empty when it does not close.
  std::vector<std::size_t> follow(std::size_t start, std::vector<char>& used) const {
    std::vector<std::size_t> chain;
    std::size_t current = start;
    while (true) {
      used[current] = 1;
      chain.push_back(current);
      if (pieces_[current].leave == pieces_[start].entry) return chain;
      const auto [first, last] = starting_.equal_range(pieces_[current].leave);
      const auto next = std::find_if(first, last, [&](const auto& entry) { return used[entry.second] == 0; });
      if (next == last) return {};
      current = next->second;
    }
  }

  CutLoop measure(const std::vector<std::size_t>& chain) const {
    CutLoop loop;
    const double tolerance_of_arc = 3e-7 * rough_area(chain);
    double weight = 0;
    loop.lowest = loop.highest = crossings_.at(pieces_[chain.front()].entry).level;
    for (const std::size_t number : chain) {
      const Piece& piece = pieces_[number];
      const Crossing& from = crossings_.at(piece.entry);
      const Crossing& to = crossings_.at(piece.leave);
      const double length = (to.position - from.position).norm();
      loop.level += length * 0.5 * (from.level + to.level);
      weight += length;
      loop.lowest = std::min(loop.lowest, to.level);
      loop.highest = std::max(loop.highest, to.level);
      add(loop.outline, piece, from, to, tolerance_of_arc);
    }
    if (weight > 0) loop.level /= weight;
    return loop;
  }

  double rough_area(const std::vector<std::size_t>& chain) const {
    double twice = 0;
    for (const std::size_t number : chain) {
      const Vec2 from = frame_.flat(crossings_.at(pieces_[number].entry).position);
      const Vec2 to = frame_.flat(crossings_.at(pieces_[number].leave).position);
      twice += from.x() * to.y() - from.y() * to.x();
    }
    return 0.5 * std::abs(twice);
  }

  void add(Outline& outline, const Piece& piece, const Crossing& from, const Crossing& to,
           double arc_tolerance) const {
    const WallTriangle& triangle = mesh_.triangles[static_cast<std::size_t>(piece.triangle)];
    const WallFace& face = mesh_.faces[static_cast<std::size_t>(triangle.face)];
    if (accuracy_ == Accuracy::mesh || face.flat) {
      const auto no_middle = [](const ArcPoint&, const ArcPoint&) { return std::optional<ArcPoint>(); };
      return add_arc(outline, bare(from), bare(to), no_middle, arc_tolerance);
    }
    const BRepAdaptor_Surface& surface = *face.surface;
    const Vec3 chord = to.position - from.position;
    add_arc(
        outline, start_of(surface, triangle, piece.entry, from, chord),
        start_of(surface, triangle, piece.leave, to, chord),
        [&](const ArcPoint& a, const ArcPoint& b) { return middle(surface, a, b); }, arc_tolerance);
  }

  ArcPoint bare(const Crossing& crossing) const {
    return {Vec2::Zero(), frame_.flat(crossing.position), Vec2::Zero()};
  }

  ArcPoint start_of(const BRepAdaptor_Surface& surface, const WallTriangle& triangle, std::uint64_t key,
                    const Crossing& crossing, const Vec3& chord) const {
    ArcPoint result = bare(crossing);
    // The triangles on either side of an edge within a face ask for the same point.
    if (crossing.face == triangle.face) {
      result.parameter = crossing.parameter;
      result.direction = direction(crossing.tangents, chord);
      return result;
    }
    const int low = static_cast<int>(key & 0xFFFFFFFFU);
    const int high = static_cast<int>(key >> 32U);
    result.parameter = parameter(triangle, low, high, crossing.share);
    move_to_foot(surface, crossing.position, tolerance(), result.parameter);
    result.direction = direction(evaluate(surface, result.parameter), chord);
    return result;
  }

  /// Direction of the section curve: in the plane and in the surface. Zero where the two coincide.
  Vec2 direction(const SurfacePoint& at, const Vec3& chord) const {
    const Vec3 out = at.along_u.cross(at.along_v);
    const Vec3 along = plane_.normal.cross(out);
    if (!(along.norm() > 1e-4 * out.norm())) return Vec2::Zero();
    const Vec3 unit = along.normalized() * (along.dot(chord) < 0 ? -1.0 : 1.0);
    return {unit.dot(frame_.along), unit.dot(frame_.across)};
  }

  std::optional<ArcPoint> middle(const BRepAdaptor_Surface& surface, const ArcPoint& a,
                                 const ArcPoint& b) const {
    const Vec2 half = 0.5 * (a.position + b.position);
    const Vec3 chord = frame_.space(b.position) - frame_.space(a.position);
    const double length = chord.norm();
    if (!(length > 1e-7 * mesh_.diagonal)) return std::nullopt;
    ArcPoint result;
    result.parameter = 0.5 * (a.parameter + b.parameter);
    const CutPlane across{frame_.space(half), chord / length};
    const auto at = move_to_planes(surface, plane_, across, tolerance(), result.parameter);
    if (!at) return std::nullopt;
    result.position = frame_.flat(at->position);
    if ((result.position - half).norm() > 0.5 * length) return std::nullopt;
    result.direction = direction(*at, chord);
    return result;
  }

  const WallMesh& mesh_;
  CutPlane plane_;
  PlaneFrame frame_;
  const std::vector<double>& levels_;
  Accuracy accuracy_;
  std::vector<Piece> pieces_;
  std::multimap<std::uint64_t, std::size_t> starting_;
  std::unordered_map<std::uint64_t, Crossing> crossings_;
};

}  // namespace

std::vector<CutLoop> cut(const WallMesh& mesh, const SectionTree& tree, const CutPlane& plane,
                         const std::vector<double>& levels, Accuracy accuracy) {
  return Cutter(mesh, plane, levels, accuracy).loops(tree.near(plane));
}

Section summarize(const CutPlane& plane, std::vector<Outline> outlines) {
  Section section;
  section.plane = plane;
  Vec2 first = Vec2::Zero();
  Eigen::Matrix2d second = Eigen::Matrix2d::Zero();
  for (const Outline& outline : outlines) {
    section.area += outline.area;
    section.perimeter += outline.perimeter;
    first += outline.first_moment;
    second += outline.second_moment;
  }
  section.outlines = std::move(outlines);
  if (!(section.area > 0)) return section;
  const PlaneFrame frame(plane);
  const Vec2 center = first / section.area;
  section.center = frame.space(center);
  const Eigen::Matrix2d spread = second - section.area * center * center.transpose();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(spread);
  const double least = std::max(axes.eigenvalues()[0], 0.0);
  const double most = std::max(axes.eigenvalues()[1], 0.0);
  // A rectangle of side a has the second moment area * a^2 / 12 along it.
  section.short_side = std::sqrt(12 * least / section.area);
  section.long_side = std::sqrt(12 * most / section.area);
  section.long_axis = axes.eigenvectors()(0, 1) * frame.along + axes.eigenvectors()(1, 1) * frame.across;
  // area^2 / sqrt(product of moments) is 12 for every rectangle and 4 pi for every ellipse.
  const double fullness = section.area * section.area / std::sqrt(least * most);
  section.round = fullness > 0.5 * (12 + 4 * std::numbers::pi);
  return section;
}

double extent(const Section& section, const Vec3& direction) {
  const PlaneFrame frame(section.plane);
  const Vec2 axis = Vec2(direction.dot(frame.along), direction.dot(frame.across)).normalized();
  double low = 0;
  double high = 0;
  bool first = true;
  for (const Outline& outline : section.outlines) {
    for (std::size_t i = 0; i < outline.points.size(); ++i) {
      const double a = axis.dot(outline.points[i]);
      const double m = axis.dot(outline.middles[i]);
      const double b = axis.dot(outline.points[(i + 1) % outline.points.size()]);
      // Top of the parabola through the three, where it lies between them.
      const double bend = a - 2 * m + b;
      const double rise = 0.5 * (b - a);
      const bool inside = std::abs(rise) < std::abs(bend);
      const double top = inside ? m - rise * rise / (2 * bend) : m;
      low = first ? std::min({a, b, top}) : std::min({low, a, b, top});
      high = first ? std::max({a, b, top}) : std::max({high, a, b, top});
      first = false;
    }
  }
  return high - low;
}

}  // namespace corefeed::geometry
