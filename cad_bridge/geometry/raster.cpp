// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/raster.hpp"

#include <Eigen/Geometry>
#include <limits>
#include <utility>

#include "cad_bridge/geometry/thin_curve.hpp"

namespace corefeed::geometry {
namespace {

/// A piece of outline between a marked and an unmarked cell, at the middle of their common side.
struct Border {
  Vec2 middle;  ///< in cells
  std::size_t inner = 0;
  std::size_t outer = 0;
};

/// Stretches of an outline with hardly any bend: steps of one cell vanish in them.
constexpr double straight_within = 0.75;  // cells

/// Walks round marked cells with them on the left.
class OutlineWalk {
 public:
  explicit OutlineWalk(const std::vector<char>& marked) : marked_(marked), used_(marked.size() * 4, 0) {}

  std::vector<std::vector<Border>> loops() {
    std::vector<std::vector<Border>> result;
    for (int row = 0; row < Raster::cells; ++row) {
      for (int column = 0; column < Raster::cells; ++column) {
        for (int side = 0; side < 4; ++side) {
          if (is_border(column, row, side) && used_[slot(column, row, side)] == 0)
            result.push_back(walk(column, row, side));
        }
      }
    }
    return result;
  }

 private:
  static constexpr std::array<std::array<int, 2>, 4> step{{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}};

  static bool within(int column, int row) {
    return column >= 0 && row >= 0 && column < Raster::cells && row < Raster::cells;
  }
  static std::size_t slot(int column, int row, int side) {
    return Raster::cell_at(column, row) * 4 + static_cast<std::size_t>(side);
  }
  bool is_marked(int column, int row) const {
    return within(column, row) && marked_[Raster::cell_at(column, row)] != 0;
  }
  bool is_border(int column, int row, int side) const {
    const auto& s = step[static_cast<std::size_t>(side)];
    return is_marked(column, row) && !is_marked(column + s[0], row + s[1]);
  }

  std::vector<Border> walk(int column, int row, int side) {
    std::vector<Border> loop;
    while (used_[slot(column, row, side)] == 0) {
      used_[slot(column, row, side)] = 1;
      const auto& out = step[static_cast<std::size_t>(side)];
      const int next_column = column + out[0];
      const int next_row = row + out[1];
      loop.push_back(
          {Vec2(column + 0.5 + 0.5 * out[0], row + 0.5 + 0.5 * out[1]), Raster::cell_at(column, row),
           within(next_column, next_row) ? Raster::cell_at(next_column, next_row) : Raster::nowhere});
      // With the marked cell on the left the walk goes on along the next side counterclockwise.
      const int turned = (side + 1) % 4;
      const auto& ahead = step[static_cast<std::size_t>(turned)];
      if (is_marked(column + ahead[0] + out[0], row + ahead[1] + out[1]) &&
          is_marked(column + ahead[0], row + ahead[1])) {
        column += ahead[0] + out[0];
        row += ahead[1] + out[1];
        side = (side + 3) % 4;
      } else if (is_marked(column + ahead[0], row + ahead[1])) {
        column += ahead[0];
        row += ahead[1];
      } else {
        side = turned;
      }
    }
    return loop;
  }

  const std::vector<char>& marked_;
  std::vector<char> used_;
};

std::vector<std::size_t> corners_of(const std::vector<Border>& loop) {
  std::vector<Vec3> points;
  for (const Border& border : loop) points.emplace_back(border.middle.x(), border.middle.y(), 0);
  return corners_of_loop(points, straight_within);
}

Vec3 longest_straight(const std::vector<std::vector<Vec3>>& outlines) {
  Vec3 longest = Vec3::Zero();
  for (const std::vector<Vec3>& outline : outlines) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const Vec3 side = outline[(i + 1) % outline.size()] - outline[i];
      if (side.norm() > longest.norm() * (1 + 1e-9)) longest = side;
    }
  }
  return longest;
}

}  // namespace

Raster::Raster(const CutPlane& plane, const std::vector<std::vector<Vec3>>& outlines, double margin)
    : frame_(plane), normal_(plane.normal) {
  const Vec3 side = longest_straight(outlines);
  const Vec3 along = side - side.dot(normal_) * normal_;
  if (along.norm() > 1e-6 * side.norm() && along.norm() > 0) {
    frame_.along = along.normalized();
    frame_.across = normal_.cross(frame_.along);
  }
  Vec2 low = Vec2::Constant(std::numeric_limits<double>::infinity());
  Vec2 high = -low;
  for (const std::vector<Vec3>& outline : outlines) {
    for (const Vec3& point : outline) {
      low = low.cwiseMin(frame_.flat(point));
      high = high.cwiseMax(frame_.flat(point));
    }
  }
  const Vec2 extent = (high - low).cwiseMax(Vec2::Constant(1e-9));
  // The margin is a whole number of cells, so that the sides of a rectangle lie between cells.
  const double edge = std::round(margin * cells / (1 + 2 * margin));
  width_ = extent.x() / (cells - 2 * edge);
  height_ = extent.y() / (cells - 2 * edge);
  low_ = low - edge * Vec2(width_, height_);
}

Vec2 Raster::flat(const Vec3& point) const {
  const Vec2 at = frame_.flat(point) - low_;
  return {at.x() / width_, at.y() / height_};
}

std::vector<char> Raster::inside(const std::vector<std::vector<Vec3>>& outlines) const {
  std::vector<char> marked(size(), 0);
  std::vector<std::vector<Vec2>> curves;
  for (const std::vector<Vec3>& outline : outlines) {
    curves.emplace_back();
    for (const Vec3& point : outline) curves.back().push_back(flat(point));
  }
  for (int row = 0; row < cells; ++row) {
    const double level = row + 0.5;
    std::vector<double> crossings;
    for (const std::vector<Vec2>& curve : curves) {
      for (std::size_t i = 0; i < curve.size(); ++i) {
        const Vec2& a = curve[i];
        const Vec2& b = curve[(i + 1) % curve.size()];
        if ((a.y() > level) == (b.y() > level)) continue;
        crossings.push_back(a.x() + (b.x() - a.x()) * (level - a.y()) / (b.y() - a.y()));
      }
    }
    std::sort(crossings.begin(), crossings.end());
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
      const int first = std::max(0, static_cast<int>(std::ceil(crossings[i] - 0.5)));
      const int last = std::min(cells - 1, static_cast<int>(std::floor(crossings[i + 1] - 0.5)));
      for (int column = first; column <= last; ++column) marked[cell_at(column, row)] = 1;
    }
  }
  return marked;
}

double Raster::outline_length(const std::vector<char>& marked, const Counts& counts) const {
  double total = 0;
  for (const std::vector<Border>& loop : OutlineWalk(marked).loops()) {
    const std::vector<std::size_t> corners = corners_of(loop);
    for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
      std::size_t counted = 0;
      for (std::size_t k = corners[i]; k < corners[i + 1]; ++k)
        counted += counts(loop[k].inner, loop[k].outer) ? std::size_t{1} : std::size_t{0};
      const Vec2 span = loop[corners[i + 1] % loop.size()].middle - loop[corners[i]].middle;
      const double length = std::hypot(span.x() * width_, span.y() * height_);
      total += length * static_cast<double>(counted) / static_cast<double>(corners[i + 1] - corners[i]);
    }
  }
  return total;
}

std::vector<std::vector<Vec3>> Raster::outlines(const std::vector<char>& marked) const {
  std::vector<std::vector<Vec3>> curves;
  for (const std::vector<Border>& loop : OutlineWalk(marked).loops()) {
    const std::vector<std::size_t> corners = corners_of(loop);
    curves.emplace_back();
    for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
      const Vec2& middle = loop[corners[i]].middle;
      curves.back().push_back(frame_.space(low_ + Vec2(middle.x() * width_, middle.y() * height_)));
    }
  }
  return curves;
}

std::size_t Raster::beyond(std::size_t inner, std::size_t outer, int steps) const {
  if (outer == nowhere) return nowhere;
  const auto column = [](std::size_t cell) {
    return static_cast<int>(cell % static_cast<std::size_t>(cells));
  };
  const auto row = [](std::size_t cell) { return static_cast<int>(cell / static_cast<std::size_t>(cells)); };
  const int x = column(outer) + steps * (column(outer) - column(inner));
  const int y = row(outer) + steps * (row(outer) - row(inner));
  if (x < 0 || y < 0 || x >= cells || y >= cells) return nowhere;
  return cell_at(x, y);
}

}  // namespace corefeed::geometry
