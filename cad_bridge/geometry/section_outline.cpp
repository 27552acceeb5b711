// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/section_outline.hpp"

#include <Eigen/Geometry>
#include <cmath>

namespace corefeed::geometry {
namespace {

constexpr int most_halvings = 8;
/// Rise over run of an arc against its chord beyond which the rules below are not trusted.
constexpr double steepest = 0.6;

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

void add_point(Outline& outline, const Vec2& from, const Vec2& to) {
  const double twice = cross(from, to);
  outline.area += twice / 2;
  outline.first_moment += (from + to) * (twice / 6);
  outline.second_moment +=
      (from * from.transpose() + to * to.transpose() + (from + to) * (from + to).transpose()) * (twice / 24);
  outline.points.push_back(from);
}

void add_chord(Outline& outline, const Vec2& from, const Vec2& to) {
  add_point(outline, from, to);
  outline.middles.push_back(0.5 * (from + to));
  outline.perimeter += (to - from).norm();
}

/// The arc over its chord: x along the chord, y to its right, which is outward for a counterclockwise curve.
struct Arch {
  double length;
  Vec2 along;
  Vec2 outward;
  double rise;
  double slope_from;
  double slope_middle;
  double slope_to;

  double slope(const Vec2& direction) const { return direction.dot(outward) / direction.dot(along); }
  double simpson() const { return 2.0 / 3.0 * length * rise; }
  double hermite() const {
    return 8.0 / 15.0 * length * rise + length * length / 60 * (slope_from - slope_to);
  }
  double arc_length() const {
    const auto stretch = [](double s) { return std::sqrt(1 + s * s); };
    return length / 6 * (stretch(slope_from) + 4 * stretch(slope_middle) + stretch(slope_to));
  }
};

std::optional<Arch> arch_of(const ArcPoint& from, const ArcPoint& middle, const ArcPoint& to) {
  Arch arch{};
  const Vec2 chord = to.position - from.position;
  arch.length = chord.norm();
  if (!(arch.length > 0)) return std::nullopt;
  arch.along = chord / arch.length;
  arch.outward = Vec2(arch.along.y(), -arch.along.x());
  arch.rise = (middle.position - from.position).dot(arch.outward);
  for (const ArcPoint* point : {&from, &middle, &to}) {
    if (!(std::abs(point->direction.dot(arch.along)) > 0.5)) return std::nullopt;
  }
  arch.slope_from = arch.slope(from.direction);
  arch.slope_middle = arch.slope(middle.direction);
  arch.slope_to = arch.slope(to.direction);
  return arch;
}

bool flat_enough(const Arch& arch) {
  return std::abs(arch.slope_from) < steepest && std::abs(arch.slope_to) < steepest &&
         std::abs(arch.slope_middle) < steepest && std::abs(arch.rise) < 0.2 * arch.length;
}

void add_arch(Outline& outline, const Vec2& from, const ArcPoint& middle, const Vec2& to, const Arch& arch) {
  add_point(outline, from, to);
  const double cap = arch.hermite();
  // The centroid of a parabola's cap lies at two fifths of its height.
  const Vec2 center = 0.5 * (from + to) + 0.4 * arch.rise * arch.outward;
  outline.area += cap;
  outline.first_moment += cap * center;
  outline.second_moment += cap * center * center.transpose();
  outline.middles.push_back(middle.position);
  outline.perimeter += arch.arc_length();
}

void add_arc(Outline& outline, const ArcPoint& from, const ArcPoint& to, const FindMiddle& find_middle,
             double tolerance, int halvings) {
  const std::optional<ArcPoint> middle = find_middle(from, to);
  const std::optional<Arch> arch = middle ? arch_of(from, *middle, to) : std::nullopt;
  if (arch && flat_enough(*arch) && std::abs(arch->simpson() - arch->hermite()) <= tolerance) {
    return add_arch(outline, from.position, *middle, to.position, *arch);
  }
  if (!middle || halvings == most_halvings) return add_chord(outline, from.position, to.position);
  add_arc(outline, from, *middle, find_middle, tolerance, halvings + 1);
  add_arc(outline, *middle, to, find_middle, tolerance, halvings + 1);
}

}  // namespace

PlaneFrame::PlaneFrame(const CutPlane& plane)
    : origin(plane.origin), along(plane.normal.unitOrthogonal()), across(plane.normal.cross(along)) {}

void add_arc(Outline& outline, const ArcPoint& from, const ArcPoint& to, const FindMiddle& find_middle,
             double tolerance) {
  add_arc(outline, from, to, find_middle, tolerance, 0);
}

}  // namespace corefeed::geometry
