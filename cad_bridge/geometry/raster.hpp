// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <vector>

#include "cad_bridge/geometry/section_outline.hpp"
#include "cad_bridge/geometry/triangles.hpp"

namespace corefeed::geometry {

/// A window on a plane, divided into cells and looked at along the plane's normal. Cells are as many in both
/// directions, so that a narrow slot is seen as finely across as along. Lengths in mm.
class Raster {
 public:
  /// A window round closed curves, wider by `margin` of their extent on every side, its rows along the
  /// longest straight stretch of a curve: a rectangle's sides then lie along the cells.
  Raster(const CutPlane& plane, const std::vector<std::vector<Vec3>>& outlines, double margin);

  std::size_t size() const { return static_cast<std::size_t>(cells) * static_cast<std::size_t>(cells); }
  double width() const { return width_; }    ///< of a cell, along a row
  double height() const { return height_; }  ///< of a cell, across rows

  /// 1 in cells whose middle lies inside an odd number of the curves.
  std::vector<char> inside(const std::vector<std::vector<Vec3>>& outlines) const;

  /// Calls `visit(cell, height)` for cells whose middle the triangle covers, with its height over the plane
  /// there. A triangle seen edge-on covers none.
  template <class Visit>
  void cover(const Triangle& triangle, const Visit& visit) const;

  /// Length of the outline of the marked cells along which `counts(inner cell, outer cell)` holds; outer is
  /// `nowhere` at the window's edge. Straight outlines lose their steps and are good to about a cell; on
  /// curved ones a zigzag of half a cell remains, up to 0.75 %.
  using Counts = std::function<bool(std::size_t inner, std::size_t outer)>;
  double outline_length(const std::vector<char>& marked, const Counts& counts) const;

  /// The marked cells' outlines, good to about a cell, in the window's plane.
  std::vector<std::vector<Vec3>> outlines(const std::vector<char>& marked) const;

  /// The cell `steps` further than `outer` on the line from `inner` to it; `nowhere` outside.
  std::size_t beyond(std::size_t inner, std::size_t outer, int steps) const;

  static std::size_t cell_at(int column, int row) {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(cells) + static_cast<std::size_t>(column);
  }

  static constexpr std::size_t nowhere = static_cast<std::size_t>(-1);
  static constexpr int cells = 800;  ///< in each direction

 private:
  Vec2 flat(const Vec3& point) const;  ///< in cells from the window's corner

  PlaneFrame frame_;
  Vec3 normal_;
  Vec2 low_ = Vec2::Zero();
  double width_ = 1;
  double height_ = 1;
};

template <class Visit>
void Raster::cover(const Triangle& triangle, const Visit& visit) const {
  const Vec2 a = flat(triangle[0]);
  const Vec2 b = flat(triangle[1]);
  const Vec2 c = flat(triangle[2]);
  const double twice = (b - a).x() * (c - a).y() - (b - a).y() * (c - a).x();
  if (!(std::abs(twice) > 1e-12)) return;
  const auto first = [](double low) { return static_cast<int>(std::ceil(std::max(low, 0.0) - 0.5)); };
  const auto last = [](double high) {
    return static_cast<int>(std::floor(std::min(high, static_cast<double>(cells)) - 0.5));
  };
  for (int row = first(std::min({a.y(), b.y(), c.y()})); row <= last(std::max({a.y(), b.y(), c.y()}));
       ++row) {
    for (int column = first(std::min({a.x(), b.x(), c.x()})); column <= last(std::max({a.x(), b.x(), c.x()}));
         ++column) {
      const Vec2 at(column + 0.5, row + 0.5);
      const double share_b = ((at - a).x() * (c - a).y() - (at - a).y() * (c - a).x()) / twice;
      const double share_c = ((b - a).x() * (at - a).y() - (b - a).y() * (at - a).x()) / twice;
      constexpr double rounding = 1e-9;
      if (share_b < -rounding || share_c < -rounding || share_b + share_c > 1 + rounding) continue;
      const Vec3 point =
          triangle[0] + share_b * (triangle[1] - triangle[0]) + share_c * (triangle[2] - triangle[0]);
      visit(cell_at(column, row), normal_.dot(point - frame_.origin));
    }
  }
}

}  // namespace corefeed::geometry
