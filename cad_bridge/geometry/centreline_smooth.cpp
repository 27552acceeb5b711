// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline_smooth.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <array>
#include <cmath>

namespace corefeed::geometry {
namespace {

/// Walls steeper than 45 degrees make a step, which has no length over which to smooth.
constexpr double steepest = 1;
/// Keeps the matrix well conditioned; by then a stretch is a parabola.
constexpr double longest = 30;  // point spacings
constexpr double pinned = 1e9;

/// Mean slope of the walls between two sections.
double wall_slope(const Section& a, const Section& b, double length) {
  return std::abs(b.area - a.area) / (0.5 * (a.perimeter + b.perimeter) * length);
}

}  // namespace

std::vector<double> echo_lengths(std::span<const Section> sections, std::span<const double> distances) {
  std::vector<double> lengths(sections.size(), 0.0);
  const auto slope = [&](std::size_t i) {
    const double value = wall_slope(sections[i], sections[i + 1], distances[i + 1] - distances[i]);
    return value < steepest ? value : 0.0;
  };
  for (std::size_t i = 1; i + 1 < sections.size(); ++i) {
    // K is the integral of (slope y^2) round the outline over the area; y^2 is half the largest on average,
    // and twice K keeps a third of a wave.
    const Section& section = sections[i];
    const double reach = 0.5 * section.long_side;
    lengths[i] = std::min(slope(i - 1), slope(i)) * section.perimeter * reach * reach / section.area;
  }
  if (lengths.size() > 2) {
    lengths.front() = lengths[1];
    lengths.back() = lengths[lengths.size() - 2];
  }
  return lengths;
}

std::vector<Vec3> smooth_points(std::span<const Vec3> points, std::span<const double> lengths) {
  const auto count = static_cast<Eigen::Index>(points.size());
  std::vector<Vec3> result(points.begin(), points.end());
  if (count < 5) return result;
  double spacing = 0;
  for (std::size_t i = 1; i < points.size(); ++i) spacing += (points[i] - points[i - 1]).norm();
  spacing /= static_cast<double>(count - 1);
  if (!(spacing > 0)) return result;
  // Least squares with the third differences, which vanish for parabolas, as penalty.
  std::vector<Eigen::Triplet<double>> entries;
  Eigen::MatrixX3d right(count, 3);
  for (Eigen::Index i = 0; i < count; ++i) {
    const double weight = i == 0 || i + 1 == count ? pinned : 1.0;
    entries.emplace_back(i, i, weight);
    right.row(i) = weight * points[static_cast<std::size_t>(i)].transpose();
  }
  constexpr std::array<double, 4> third{-1, 3, -3, 1};
  for (std::size_t first = 0; first + 4 <= points.size(); ++first) {
    const double length = *std::min_element(&lengths[first], &lengths[first] + 4);
    const double weight = std::pow(std::min(length / spacing, longest), 6);
    for (std::size_t a = 0; a < 4; ++a) {
      for (std::size_t b = 0; b < 4; ++b) {
        entries.emplace_back(static_cast<Eigen::Index>(first + a), static_cast<Eigen::Index>(first + b),
                             weight * third[a] * third[b]);
      }
    }
  }
  Eigen::SparseMatrix<double> matrix(count, count);
  matrix.setFromTriplets(entries.begin(), entries.end());
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(matrix);
  if (solver.info() != Eigen::Success) return result;
  const Eigen::MatrixX3d solution = solver.solve(right);
  for (std::size_t i = 1; i + 1 < result.size(); ++i)
    result[i] = solution.row(static_cast<Eigen::Index>(i)).transpose();
  return result;
}

}  // namespace corefeed::geometry
