// SPDX-License-Identifier: Apache-2.0
#include <map>
#include <utility>

#include "cad_bridge/geometry/section.hpp"

namespace corefeed::geometry {
namespace {

/// A mesh edge of the rim in the direction in which the end face has it.
struct RimEdge {
  int from = 0;
  int to = 0;
};

/// Edges of the end face's triangles that belong to one triangle only.
std::map<int, RimEdge> rim_edges(const WallMesh& mesh, int opening) {
  std::unordered_map<std::uint64_t, std::pair<RimEdge, int>> seen;
  for (std::size_t index = 0; index < mesh.triangles.size(); ++index) {
    if (!mesh.on_opening(static_cast<int>(index), opening)) continue;
    const auto& corners = mesh.triangles[index].corners;
    for (std::size_t i = 0; i < 3; ++i) {
      const RimEdge edge{corners[i], corners[(i + 1) % 3]};
      auto& entry = seen[edge_key(edge.from, edge.to)];
      entry.first = edge;
      ++entry.second;
    }
  }
  std::map<int, RimEdge> by_start;
  for (const auto& [key, entry] : seen) {
    if (entry.second == 1) by_start.emplace(entry.first.from, entry.first);
  }
  return by_start;
}

class RimWalker {
 public:
  RimWalker(const WallMesh& mesh, const CutPlane& plane) : mesh_(mesh), frame_(plane) {}

  void add(Outline& outline, const RimEdge& edge, double tolerance) const {
    const auto stretch = mesh_.stretches.find(edge_key(edge.from, edge.to));
    if (stretch == mesh_.stretches.end()) {
      const auto none = [](const ArcPoint&, const ArcPoint&) { return std::optional<ArcPoint>(); };
      return add_arc(outline, {Vec2::Zero(), flat(edge.from), Vec2::Zero()},
                     {Vec2::Zero(), flat(edge.to), Vec2::Zero()}, none, tolerance);
    }
    const BRepAdaptor_Curve& curve = *mesh_.curves[static_cast<std::size_t>(stretch->second.curve)];
    const bool upward = edge.from < edge.to;
    const double first = upward ? stretch->second.low : stretch->second.high;
    const double last = upward ? stretch->second.high : stretch->second.low;
    const double sign = last > first ? 1.0 : -1.0;
    add_arc(
        outline, at(curve, first, sign), at(curve, last, sign),
        [&](const ArcPoint& a, const ArcPoint& b) { return middle(curve, a, b, sign); }, tolerance);
  }

 private:
  Vec2 flat(int vertex) const { return frame_.flat(mesh_.points[static_cast<std::size_t>(vertex)]); }

  ArcPoint at(const BRepAdaptor_Curve& curve, double parameter, double sign) const {
    const CurvePoint point = evaluate(curve, parameter);
    const Vec3 along = sign * point.derivative.normalized();
    return {Vec2(parameter, 0), frame_.flat(point.position),
            Vec2(along.dot(frame_.along), along.dot(frame_.across))};
  }

  std::optional<ArcPoint> middle(const BRepAdaptor_Curve& curve, const ArcPoint& a, const ArcPoint& b,
                                 double sign) const {
    const Vec3 chord = frame_.space(b.position) - frame_.space(a.position);
    const double length = chord.norm();
    if (!(length > 1e-7 * mesh_.diagonal)) return std::nullopt;
    const CutPlane across{frame_.space(0.5 * (a.position + b.position)), chord / length};
    const double parameter =
        cross_plane(curve, across, a.parameter.x(), b.parameter.x(), 1e-10 * mesh_.diagonal);
    return at(curve, parameter, sign);
  }

  const WallMesh& mesh_;
  PlaneFrame frame_;
};

}  // namespace

std::vector<Outline> rim(const WallMesh& mesh, int opening, const CutPlane& plane) {
  std::map<int, RimEdge> left = rim_edges(mesh, opening);
  const RimWalker walker(mesh, plane);
  std::vector<Outline> outlines;
  const double tolerance = 1e-9 * mesh.diagonal * mesh.diagonal;
  while (!left.empty()) {
    Outline outline;
    auto next = left.begin();
    while (next != left.end()) {
      const RimEdge edge = next->second;
      left.erase(next);
      walker.add(outline, edge, tolerance);
      next = left.find(edge.to);
    }
    outlines.push_back(std::move(outline));
  }
  return outlines;
}

}  // namespace corefeed::geometry
