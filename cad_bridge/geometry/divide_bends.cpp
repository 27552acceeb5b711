// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "cad_bridge/geometry/divide.hpp"
#include "cad_bridge/geometry/divide_split.hpp"

namespace corefeed::geometry {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double least_angle = 5 * std::numbers::pi / 180;
/// Curvature times hydraulic diameter below which the path counts as straight: a bend of 100 diameters.
constexpr double straight = 0.01;
/// A turn within this many hydraulic diameters is a corner: common practice, no source.
constexpr double corner = 0.5;

/// Turning between neighboring samples, in a frame carried along without twist: a plane arc turns at a
/// constant vector there, an S reverses it.
struct Turning {
  std::vector<Vector2d> turn;       ///< rad over the interval
  std::vector<Vector2d> curvature;  ///< 1/m
  std::vector<double> length;
  std::vector<Vector3d> axis;  ///< of the turn, not normalized
};

Turning turning_of(std::span<const PathSample> samples) {
  Turning result;
  Vector3d first = samples.front().tangent.unitOrthogonal();
  for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
    const Vector3d& a = samples[i].tangent;
    const Vector3d& b = samples[i + 1].tangent;
    const Vector3d cross = a.cross(b);
    const double angle = std::atan2(cross.norm(), a.dot(b));
    const Vector3d axis = cross.norm() > 0 ? Vector3d(cross * (angle / cross.norm())) : Vector3d::Zero();
    const Vector3d second = a.cross(first);
    const double length = samples[i + 1].distance - samples[i].distance;
    result.turn.emplace_back(axis.dot(first), axis.dot(second));
    result.curvature.push_back(result.turn.back() / length);
    result.length.push_back(length);
    result.axis.push_back(axis);
    if (angle > 0) first = Eigen::AngleAxisd(angle, axis / angle) * first;
    first = (first - first.dot(b) * b).normalized();
  }
  return result;
}

/// Intervals first..last-1 of one curvature, or of one that varies in one sense.
struct Segment {
  std::size_t first = 0;
  std::size_t last = 0;
  bool curved = false;
  bool steady = false;
  Vector2d level = Vector2d::Zero();  ///< curvature of a steady segment
  double from = 0;
  double to = 0;
  double angle = 0;
};

/// Mean curvature of the segment without its ends, and whether it is constant there.
void describe(Segment& segment, const Turning& turning) {
  segment.steady = true;
  if (!segment.curved) return;
  const std::size_t count = segment.last - segment.first;
  const std::size_t margin = count >= 12 ? 3 : (count >= 5 ? 1 : 0);
  double weight = 0;
  for (std::size_t j = segment.first + margin; j + margin < segment.last; ++j) {
    segment.level += turning.turn[j];
    weight += turning.length[j];
  }
  segment.level /= weight;
  double residual = 0;
  for (std::size_t j = segment.first + margin; j + margin < segment.last; ++j) {
    residual += turning.length[j] * (turning.curvature[j] - segment.level).squaredNorm();
  }
  segment.steady = margin > 0 && std::sqrt(residual / weight) < 0.1 * segment.level.norm();
}

void split(std::vector<Segment>& out, Segment segment, const Turning& turning) {
  const std::span<const Vector2d> values(turning.curvature.data() + segment.first,
                                         segment.last - segment.first);
  const std::span<const double> weights(turning.length.data() + segment.first, segment.last - segment.first);
  const TwoLevels levels = two_levels(values, weights);
  if (levels.second == 0) return out.push_back(segment);
  Segment rest = segment;
  segment.last = segment.first + levels.second;
  rest.first = segment.last;
  split(out, segment, turning);
  split(out, rest, turning);
}

std::vector<Segment> segments_of(std::span<const PathSample> samples, const Turning& turning) {
  std::vector<Segment> result;
  const std::size_t count = turning.turn.size();
  const auto curved = [&](std::size_t j) {
    const double diameter = 0.5 * (samples[j].hydraulic_diameter + samples[j + 1].hydraulic_diameter);
    return turning.curvature[j].norm() * diameter > straight;
  };
  std::size_t first = 0;
  for (std::size_t j = 1; j <= count; ++j) {
    const bool same = j < count && curved(j) == curved(first) &&
                      (!curved(j) || turning.turn[j].dot(turning.turn[j - 1]) >= 0);
    if (same) continue;
    Segment segment;
    segment.first = first;
    segment.last = j;
    segment.curved = curved(first);
    first = j;
    if (segment.curved) {
      split(result, segment, turning);
    } else {
      result.push_back(segment);
    }
  }
  for (Segment& segment : result) {
    describe(segment, turning);
    segment.from = samples[segment.first].distance;
    segment.to = samples[segment.last].distance;
  }
  return result;
}

double turned_between(const Turning& turning, std::size_t first, std::size_t last) {
  Vector2d sum = Vector2d::Zero();
  for (std::size_t j = first; j < last; ++j) sum += turning.turn[j];
  return sum.norm();
}

/// Between two constant curvatures the change lies where the turning of the samples around it says. The
/// turning is shared out accordingly: `angle` begins as that of the segment's own intervals.
void place_boundaries(std::vector<Segment>& segments, std::span<const PathSample> samples,
                      const Turning& turning) {
  const auto reach = [](const Segment& segment) {
    return std::clamp<std::size_t>((segment.last - segment.first) / 3, 1, 4);
  };
  for (Segment& segment : segments) segment.angle = turned_between(turning, segment.first, segment.last);
  for (std::size_t i = 0; i + 1 < segments.size(); ++i) {
    Segment& a = segments[i];
    Segment& b = segments[i + 1];
    const Vector2d change = a.level - b.level;
    if (!a.steady || !b.steady || !(change.norm() > 0)) continue;
    const std::size_t first = b.first - reach(a);
    const std::size_t last = b.first + reach(b);
    Vector2d turned = Vector2d::Zero();
    for (std::size_t j = first; j < last; ++j) turned += turning.turn[j];
    const double start = samples[first].distance;
    const double zone = samples[last].distance - start;
    const double share = std::clamp((turned - b.level * zone).dot(change) / change.squaredNorm(), 0.0, zone);
    a.to = b.from = start + share;
    a.angle += a.level.norm() * share - turned_between(turning, first, b.first);
    b.angle += b.level.norm() * (zone - share) - turned_between(turning, b.first, last);
  }
}

/// Leaves out the ends where the curvature is a mere twentieth of the largest.
void trim(Segment& segment, std::span<const PathSample> samples, const Turning& turning) {
  double largest = 0;
  for (std::size_t j = segment.first; j < segment.last; ++j) {
    largest = std::max(largest, turning.curvature[j].norm());
  }
  while (turning.curvature[segment.first].norm() < 0.05 * largest) ++segment.first;
  while (turning.curvature[segment.last - 1].norm() < 0.05 * largest) --segment.last;
  segment.from = samples[segment.first].distance;
  segment.to = samples[segment.last].distance;
}

Bend to_bend(const Segment& segment, std::span<const PathSample> samples, const Turning& turning) {
  Bend bend;
  bend.from = segment.from;
  bend.to = segment.to;
  const double length = bend.to - bend.from;
  for (std::size_t j = segment.first; j < segment.last; ++j) {
    bend.angle += turning.turn[j].norm();
    bend.axis += turning.axis[j];
  }
  if (segment.steady) bend.angle = segment.angle;
  bend.axis.normalize();
  bend.radius = segment.steady ? 1 / segment.level.norm() : length / bend.angle;
  const double diameter = samples[(segment.first + segment.last) / 2].hydraulic_diameter;
  bend.sharp = length < corner * diameter;
  return bend;
}

}  // namespace

std::vector<Bend> find_bends(std::span<const PathSample> samples) {
  if (samples.size() < 3) return {};
  const Turning turning = turning_of(samples);
  std::vector<Segment> segments = segments_of(samples, turning);
  place_boundaries(segments, samples, turning);
  std::vector<Bend> bends;
  for (Segment& segment : segments) {
    if (!segment.curved) continue;
    if (!segment.steady) trim(segment, samples, turning);
    if (!(segment.to > segment.from)) continue;
    const Bend bend = to_bend(segment, samples, turning);
    if (bend.angle >= least_angle) bends.push_back(bend);
  }
  return bends;
}

}  // namespace corefeed::geometry
