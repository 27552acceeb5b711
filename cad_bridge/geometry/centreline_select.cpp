// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline_select.hpp"

#include <algorithm>
#include <cmath>

namespace corefeed::geometry {
namespace {

/// How far apart along the passage two loops of one station may lie, in roots of their area: the sides of a
/// vane differ by less, the legs of the tightest U by pi/2.
constexpr double same_place = 0.75;
constexpr double lost = 3;

bool inside(const Outline& outline, const Vec2& point) {
  bool result = false;
  for (std::size_t i = 0; i < outline.points.size(); ++i) {
    const Vec2& a = outline.points[i];
    const Vec2& b = outline.points[(i + 1) % outline.points.size()];
    if ((a.y() > point.y()) == (b.y() > point.y())) continue;
    if (point.x() < a.x() + (b.x() - a.x()) * (point.y() - a.y()) / (b.y() - a.y())) result = !result;
  }
  return result;
}

}  // namespace

Selection select_loops(const std::vector<CutLoop>& loops, double distance,
                       const std::function<double(double)>& distance_of_level) {
  std::vector<double> away(loops.size());
  double nearest = lost;
  std::size_t best = loops.size();
  for (std::size_t i = 0; i < loops.size(); ++i) {
    const double size = std::sqrt(std::abs(loops[i].outline.area));
    if (!(loops[i].outline.area > 0)) continue;
    away[i] = std::abs(distance_of_level(loops[i].level) - distance) / size;
    if (away[i] >= nearest) continue;
    nearest = away[i];
    best = i;
  }
  Selection selection;
  double weight = 0;
  for (std::size_t i = 0; i < loops.size(); ++i) {
    const Outline& outline = loops[i].outline;
    if (!(outline.area > 0) || !(i == best || away[i] < same_place)) continue;
    selection.outlines.push_back(outline);
    selection.level += outline.perimeter * loops[i].level;
    weight += outline.perimeter;
    const double reach = distance_of_level(loops[i].highest) - distance_of_level(loops[i].lowest);
    selection.spread = std::max(selection.spread, reach);
  }
  if (weight > 0) selection.level /= weight;
  const std::size_t outer = selection.outlines.size();
  for (const CutLoop& loop : loops) {
    if (loop.outline.area >= 0 || loop.outline.points.empty()) continue;
    for (std::size_t i = 0; i < outer; ++i) {
      if (!inside(selection.outlines[i], loop.outline.points.front())) continue;
      selection.outlines.push_back(loop.outline);
      break;
    }
  }
  return selection;
}

}  // namespace corefeed::geometry
