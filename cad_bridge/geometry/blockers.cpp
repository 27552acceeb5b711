// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/blockers.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "cad_bridge/geometry/raster.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;       // per mm
constexpr double least_share = 1e-3;  // about what a cell more or less along the outline amounts to
constexpr double margin = 0.1;        // of the window, in which the gap's entry is looked at
/// Where something else stands nearer to the skin than this share of the gap, the gap is shut.
constexpr double shut = 0.1;

using Field = std::vector<float>;  // a length per cell
constexpr float none = std::numeric_limits<float>::infinity();

/// Gaps to the nearest surface on either side of the skin; 0 where a body stands in the opening itself.
struct Gaps {
  Field outside;
  Field inside;

  float nearer(std::size_t cell) const { return std::min(outside[cell], inside[cell]); }
};

class Scene {
 public:
  Scene(const View& view, const std::vector<Obstacle>& obstacles)
      : view_(view), raster_(view.plane, view.outlines, margin), opening_(raster_.inside(view.outlines)) {
    find_skin();
    find_walls();
    nearest_ = empty();
    for (const Obstacle& obstacle : obstacles) {
      const Gaps gaps = gaps_to(*obstacle.triangles);
      for (std::size_t cell = 0; cell < raster_.size(); ++cell) {
        nearest_.outside[cell] = std::min(nearest_.outside[cell], gaps.outside[cell]);
        nearest_.inside[cell] = std::min(nearest_.inside[cell], gaps.inside[cell]);
      }
    }
  }

  Obstruction run(const std::vector<Obstacle>& obstacles) const {
    Obstruction result;
    const std::size_t whole = count(opening_);
    if (whole == 0) return result;
    for (const Obstacle& obstacle : obstacles) {
      // Found anew rather than kept: an assembly may hold hundreds of bodies.
      const Gaps gaps = gaps_to(*obstacle.triangles);
      const std::vector<char> covered = covered_by(gaps);
      const std::size_t cells = count(covered);
      const double share = static_cast<double>(cells) / static_cast<double>(whole);
      if (share < least_share) continue;
      result.blocked_by.push_back({obstacle.part, mean_gap(gaps, covered) * meters, share,
                                   open_perimeter(gaps, covered, cells == whole) * meters,
                                   outlines_of_cells(covered)});
    }
    const double share = static_cast<double>(count(covered_by(nearest_))) / static_cast<double>(whole);
    result.share = result.blocked_by.empty() ? 0 : share;
    return result;
  }

 private:
  Gaps empty() const { return {Field(raster_.size(), none), Field(raster_.size(), none)}; }

  static std::size_t count(const std::vector<char>& cells) {
    return static_cast<std::size_t>(std::count(cells.begin(), cells.end(), 1));
  }

  /// Height of the outer skin over the plane; beyond the rim that of the plane.
  void find_skin() {
    skin_.assign(raster_.size(), 0.0F);
    for (const Triangle& triangle : view_.skin) {
      raster_.cover(triangle,
                    [this](std::size_t cell, double height) { skin_[cell] = static_cast<float>(height); });
    }
  }

  /// How far one sees into the passage before its own wall.
  void find_walls() {
    depth_.assign(raster_.size(), none);
    for (const Triangle& triangle : view_.walls) {
      raster_.cover(triangle, [this](std::size_t cell, double height) {
        const float depth = static_cast<float>(-height);
        if (depth > 0 && depth < depth_[cell]) depth_[cell] = depth;
      });
    }
  }

  Gaps gaps_to(const std::vector<Triangle>& triangles) const {
    constexpr double touching = 1e-3;  // mm
    Gaps gaps = empty();
    // Where the next surface outward of the panel's middle faces outward too, the middle lies in the body.
    Field above(raster_.size(), none);
    std::vector<char> within(raster_.size(), 0);
    for (const Triangle& triangle : triangles) {
      const bool outward =
          (triangle[1] - triangle[0]).cross(triangle[2] - triangle[0]).dot(view_.plane.normal) > 0;
      raster_.cover(triangle, [&](std::size_t cell, double height) {
        const double out = height - skin_[cell];
        const double in = -view_.thickness - out;
        if (out >= -touching && out <= view_.reach) keep(gaps.outside[cell], out);
        if (in >= -touching && in <= view_.reach && -height < depth_[cell] - touching)
          keep(gaps.inside[cell], in);
        if (out < 0 && in < 0) gaps.outside[cell] = gaps.inside[cell] = 0;
        const double middle = out + 0.5 * view_.thickness;
        if (middle < 0 || middle >= above[cell]) return;
        above[cell] = static_cast<float>(middle);
        within[cell] = outward ? 1 : 0;
      });
    }
    for (std::size_t cell = 0; cell < raster_.size(); ++cell) {
      if (within[cell] != 0) gaps.outside[cell] = gaps.inside[cell] = 0;
    }
    return gaps;
  }

  static void keep(float& nearest, double gap) {
    nearest = std::min(nearest, static_cast<float>(std::max(gap, 0.0)));
  }
  std::vector<char> covered_by(const Gaps& gaps) const {
    std::vector<char> covered(raster_.size(), 0);
    for (std::size_t cell = 0; cell < raster_.size(); ++cell)
      covered[cell] = opening_[cell] != 0 && gaps.nearer(cell) < none ? 1 : 0;
    return covered;
  }

  static double mean_gap(const Gaps& gaps, const std::vector<char>& covered) {
    double sum = 0;
    std::size_t cells = 0;
    for (std::size_t cell = 0; cell < covered.size(); ++cell) {
      if (covered[cell] == 0) continue;
      sum += gaps.nearer(cell);
      ++cells;
    }
    return cells == 0 ? 0 : sum / static_cast<double>(cells);
  }

  std::vector<Curve> outlines_of_cells(const std::vector<char>& covered) const {
    std::vector<Curve> curves;
    for (const std::vector<Vec3>& outline : raster_.outlines(covered)) curves.push_back(drawn_loop(outline));
    std::erase_if(curves, [](const Curve& curve) { return curve.empty(); });
    return curves;
  }

  double open_perimeter(const Gaps& gaps, const std::vector<char>& covered, bool all) const {
    bool shut_somewhere = false;
    const double length = raster_.outline_length(covered, [&](std::size_t inner, std::size_t outer) {
      const bool open = is_open(gaps, inner, outer);
      shut_somewhere = shut_somewhere || !open;
      return open;
    });
    return all && !shut_somewhere ? view_.perimeter : length;
  }

  /// Air gets in unless something closes the way between skin and body just outside the covered part.
  bool is_open(const Gaps& gaps, std::size_t inner, std::size_t outer) const {
    const bool behind = gaps.inside[inner] <= gaps.outside[inner];
    const float gap = gaps.nearer(inner);
    const Field& others = behind ? nearest_.inside : nearest_.outside;
    const int steps = static_cast<int>(margin * Raster::cells);
    for (int step = 0; step < steps; ++step) {
      const std::size_t cell = raster_.beyond(inner, outer, step);
      if (cell == Raster::nowhere || step * raster_.width() > gap) break;
      if (others[cell] < shut * gap) return false;
    }
    return true;
  }

  const View& view_;
  Raster raster_;
  std::vector<char> opening_;
  Field skin_;
  Field depth_;
  Gaps nearest_;
};

}  // namespace

Obstruction look_through(const View& view, const std::vector<Obstacle>& obstacles) {
  if (obstacles.empty()) return {};
  return Scene(view, obstacles).run(obstacles);
}

}  // namespace corefeed::geometry
