// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <functional>
#include <span>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"

/// Divides a densely measured path into a small number of honest pieces: ducts, bends, diffusers,
/// contractions and steps. SI units.
namespace corefeed::geometry {

/// What is known at one distance along the path.
struct PathSample {
  double distance = 0;
  double area = 0;
  double hydraulic_diameter = 0;
  Eigen::Vector3d tangent = Eigen::Vector3d::UnitZ();
  double long_side = 0;  ///< of the rectangle with the same second moments
  double short_side = 0;
  Eigen::Vector3d long_axis = Eigen::Vector3d::UnitX();
  bool round = false;
};

/// A stretch over which the path turns in one sense.
struct Bend {
  double from = 0;
  double to = 0;
  double angle = 0;                                ///< rad, the integral of the curvature
  double radius = 0;                               ///< of the centreline
  bool sharp = false;                              ///< a corner rather than an arc
  Eigen::Vector3d axis = Eigen::Vector3d::Zero();  ///< unit, about which the path turns
};

/// Bends of 5 degrees or more, in order, by piecewise constant curvature. Where the curvature is constant
/// over a stretch, its ends are found between the samples, from the turning of those around them.
std::vector<Bend> find_bends(std::span<const PathSample> samples);

/// A stretch over which the area grows or falls.
struct AreaChange {
  double from = 0;
  double to = 0;
  double inlet_area = 0;
  double outlet_area = 0;
  bool step = false;  ///< the area jumps within 0.3 hydraulic diameters
};

/// Measures the area at a distance between samples; 0 when it cannot.
using AreaAt = std::function<double(double)>;

/// Changes of area by 0.5 % or more, in order.
std::vector<AreaChange> find_area_changes(std::span<const PathSample> samples, const AreaAt& area_at);

/// Pieces in order with the keys of their kinds (a bend still lacks `aspect`), and the bends among them in
/// the same order. Pieces join without gaps; a bend that widens stands beside the diffuser over the same
/// stretch.
struct Division {
  std::vector<Piece> pieces;
  std::vector<Bend> bends;
};

Division divide(std::span<const PathSample> samples, const AreaAt& area_at);

}  // namespace corefeed::geometry
