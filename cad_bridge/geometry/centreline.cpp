// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/centreline.hpp"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "cad_bridge/geometry/centreline_smooth.hpp"
#include "cad_bridge/geometry/centreline_tangent.hpp"

namespace corefeed::geometry {
namespace {

constexpr int level_count = 60;
constexpr int least_knots = 41;
constexpr int most_knots = 401;
/// Spacing of knots in hydraulic diameters of the smaller end.
constexpr double spacing = 0.1;
/// An end face's normal is taken as the line's tangent there when the fit differs by less (rad).
constexpr double agreement = 0.025;
/// Half the width of the first tangent fit, in hydraulic diameters.
constexpr double wide_fit = 0.3;
/// A plane's normal may differ by this much (rad) from the level curves' direction. More comes from corners
/// and eccentric steps, where planes that follow the line's every kink would kink it further.
constexpr double most_deviation = 0.5;
/// Reach of a section along the passage, in roots of its area, beyond which the level curve's own plane is
/// tried too: in a sharp corner a plane may look into the next leg. Of planes through one point the one
/// across the passage gives the smallest section, so that one is taken if it is clearly smaller.
constexpr double most_spread = 0.5;
constexpr double clearly_smaller = 0.98;
/// Passes with exact sections: three suffice where the area is constant.
constexpr int most_passes = 8;
constexpr double settled_move = 1e-5;  // of the smaller end's hydraulic diameter
/// A line that settles differs in length from that of the level curves' planes by less than this.
constexpr double most_growth = 1.03;
/// And the latter from one more step of its own by this, or it leads nowhere.
constexpr double lost_growth = 1.2;

Issue section_failed(const Vec3& at, const char* what) {
  return {"section_failed",
          Severity::error,
          Status::geometry,
          {},
          fmt::format("{} near ({:.6g}, {:.6g}, {:.6g}) m; expected one closed passage there.", what,
                      at.x() / 1000, at.y() / 1000, at.z() / 1000)};
}

Vec3 limited(const Vec3& tangent, const Vec3& guide) {
  const double angle = std::acos(std::clamp(tangent.dot(guide), -1.0, 1.0));
  if (angle <= most_deviation) return tangent;
  const Vec3 axis = guide.cross(tangent).normalized();
  return Eigen::AngleAxisd(most_deviation, axis) * guide;
}

std::vector<Vec3> positions(const std::vector<Knot>& knots) {
  std::vector<Vec3> result;
  for (const Knot& knot : knots) result.push_back(knot.position);
  return result;
}

double farthest_move(const std::vector<Vec3>& before, const std::vector<Knot>& after) {
  double farthest = 0;
  for (std::size_t i = 0; i < before.size(); ++i) {
    farthest = std::max(farthest, (after[i].position - before[i]).norm());
  }
  return farthest;
}

}  // namespace

KnotSpan::KnotSpan(const Knot& a, const Knot& b) : from(a.position), to(b.position) {
  const double turn = std::acos(std::clamp(a.tangent.dot(b.tangent), -1.0, 1.0));
  // Length of a circular arc over its chord, to second order: the slopes a cubic needs to follow the arc.
  const double reach = (to - from).norm() * (1 + std::min(turn * turn, 1.0) / 24);
  from_slope = a.tangent * reach;
  to_slope = b.tangent * reach;
}

Vec3 KnotSpan::position(double t) const {
  const double u = 1 - t;
  return (1 + 2 * t) * u * u * from + t * u * u * from_slope + t * t * (3 - 2 * t) * to -
         t * t * u * to_slope;
}

Vec3 KnotSpan::slope(double t) const {
  const double u = 1 - t;
  return 6 * t * u * (to - from) + u * (1 - 3 * t) * from_slope + t * (3 * t - 2) * to_slope;
}

double KnotSpan::length() const {
  // Gauss-Legendre, three points.
  const double offset = 0.5 * std::sqrt(0.6);
  return (5 * slope(0.5 - offset).norm() + 8 * slope(0.5).norm() + 5 * slope(0.5 + offset).norm()) / 18;
}

Centerline::Centerline(const WallMesh& mesh, const SectionTree& tree, int from, int to)
    : mesh_(mesh), tree_(tree), from_(from), to_(to), first_(make_end(from)), last_(make_end(to)) {
  const auto hydraulic = [](const Section& s) { return s.perimeter > 0 ? 4 * s.area / s.perimeter : 0.0; };
  size_ = std::min(hydraulic(first_.section), hydraulic(last_.section));
}

Centerline::End Centerline::make_end(int opening) const {
  End end;
  Vec3 sum = Vec3::Zero();
  for (std::size_t index = 0; index < mesh_.triangles.size(); ++index) {
    if (!mesh_.on_opening(static_cast<int>(index), opening)) continue;
    const auto& c = mesh_.triangles[index].corners;
    const auto point = [&](std::size_t i) -> const Vec3& {
      return mesh_.points[static_cast<std::size_t>(c[i])];
    };
    sum += (point(1) - point(0)).cross(point(2) - point(0));
    for (std::size_t i = 0; i < 3; ++i) end.rim.push_back(point(i));
  }
  if (!(sum.norm() > 0)) return end;
  end.plane = {end.rim.front(), sum.normalized()};
  end.section = summarize(end.plane, rim(mesh_, opening, end.plane));
  for (const Vec3& point : end.rim) end.reach = std::max(end.reach, (point - end.section.center).norm());
  return end;
}

void Centerline::first_guess() {
  const std::vector<LevelCenter> centers = level_centers(mesh_, levels_, from_, to_, level_count);
  guides_ = {{0, first_.section.center, -first_.plane.normal}};
  guides_.insert(guides_.end(), centers.begin(), centers.end());
  guides_.push_back({1, last_.section.center, last_.plane.normal});
  knots_.clear();
  for (const LevelCenter& center : guides_) {
    if (!knots_.empty() && (knots_.back().position - center.position).norm() < 1e-6 * mesh_.diagonal)
      continue;
    Knot knot;
    knot.position = center.position;
    knot.tangent = center.normal;
    knot.level = center.level;
    knots_.push_back(knot);
  }
}

/// Direction along the passage at a level.
Vec3 Centerline::guide(double level) const {
  const auto after =
      std::upper_bound(guides_.begin(), guides_.end(), level,
                       [](double value, const LevelCenter& center) { return value < center.level; });
  if (after == guides_.begin()) return guides_.front().normal;
  if (after == guides_.end()) return guides_.back().normal;
  const LevelCenter& before = *(after - 1);
  const double share = (level - before.level) / (after->level - before.level);
  const Vec3 mixed = (1 - share) * before.normal + share * after->normal;
  return mixed.norm() > 0.1 ? Vec3(mixed.normalized()) : before.normal;
}

Result<bool> Centerline::follow() {
  if (!(first_.section.area > 0) || !(last_.section.area > 0)) {
    return section_failed(first_.section.area > 0 ? last_.section.center : first_.section.center,
                          "An opening without area was found");
  }
  Result<std::vector<double>> levels = solve_levels(mesh_, from_, {to_});
  if (!levels) return levels.issues();
  levels_ = std::move(levels).value();
  if (Result<bool> traced = trace(); traced || guided_) return traced;
  // At a side branch, a plenum or a corner planes across the line may never settle: then the level curves'
  // own.
  guided_ = true;
  return trace();
}

Result<bool> Centerline::trace() {
  first_guess();
  if (knots_.size() < 2) return section_failed(first_.section.center, "Two openings at one place were found");
  measure_distances();
  const double wanted = length() / (spacing * size_);
  const int count =
      std::clamp(static_cast<int>(std::lround(std::min(wanted, 1e6))) + 1, least_knots, most_knots);
  space_evenly(count);
  // Level-set centers are rough: first the level curves' own planes, then fits.
  double guided_length = 0;
  for (const bool fitted : {false, true}) {
    if (fitted && guided_) break;
    for (Knot& knot : knots_) knot.tangent = guide(knot.level);
    if (fitted) fit_tangents(window_of(wide_fit));
    if (Result<bool> refined = refine(Accuracy::mesh); !refined) return refined;
    fit_tangents(2);
    measure_distances();
    if (!fitted) guided_length = length();
    space_evenly(count);
  }
  for (int pass = 0; pass < (guided_ ? 1 : most_passes); ++pass) {
    fit_tangents(pass == 0 ? 2 : 0);
    const std::vector<Vec3> before = positions(knots_);
    if (Result<bool> refined = refine(Accuracy::exact); !refined) return refined;
    const bool settled = pass > 1 && farthest_move(before, knots_) < settled_move * size_;
    fit_tangents(guided_ ? 2 : 0);
    measure_distances();
    if (pass == 0 && !guided_) space_evenly(count);
    if (settled) break;
  }
  if (length() > (guided_ ? lost_growth : most_growth) * guided_length) {
    return section_failed(knots_[knots_.size() / 2].position, "A centerline that does not settle was found");
  }
  return true;
}

/// Window 0 asks for sharp tangents.
void Centerline::fit_tangents(int window) {
  const std::vector<Vec3> points = positions(knots_);
  const std::vector<Vec3> tangents = window > 0 ? smooth_tangents(points, window) : sharp_tangents(points);
  for (std::size_t i = 0; i < knots_.size(); ++i) {
    // The level curve at an end is its rim, however oblique.
    const bool end = i == 0 || i + 1 == knots_.size();
    knots_[i].tangent = end ? tangents[i] : limited(tangents[i], guide(knots_[i].level));
  }
  const auto adopt = [](Vec3& tangent, const Vec3& normal) {
    if (tangent.cross(normal).norm() < agreement && tangent.dot(normal) > 0) tangent = normal;
  };
  adopt(knots_.front().tangent, -first_.plane.normal);
  adopt(knots_.back().tangent, last_.plane.normal);
}

/// Knots to either side for a fit over `width` hydraulic diameters.
int Centerline::window_of(double width) const {
  const int count = static_cast<int>(knots_.size());
  const double step = std::max(length() / (count - 1), 1e-9 * mesh_.diagonal);
  return std::clamp(static_cast<int>(std::lround(std::min(width * size_ / step, 1e6))), 2,
                    std::max(2, count / 4));
}

void Centerline::measure_distances() {
  knots_.front().distance = 0;
  for (std::size_t i = 1; i < knots_.size(); ++i) {
    knots_[i].distance = knots_[i - 1].distance + KnotSpan(knots_[i - 1], knots_[i]).length();
  }
}

void Centerline::space_evenly(int count) {
  std::vector<Knot> even;
  std::size_t span = 0;
  for (int i = 0; i < count; ++i) {
    Knot knot;
    knot.distance = length() * i / (count - 1);
    while (span + 2 < knots_.size() && knots_[span + 1].distance < knot.distance) ++span;
    const Knot& a = knots_[span];
    const Knot& b = knots_[span + 1];
    const double t = std::clamp((knot.distance - a.distance) / (b.distance - a.distance), 0.0, 1.0);
    const KnotSpan between(a, b);
    knot.position = between.position(t);
    knot.tangent = between.slope(t).normalized();
    knot.level = a.level + t * (b.level - a.level);
    even.push_back(knot);
  }
  knots_ = std::move(even);
}

/// Moves every knot but the ends to the center of area of its section.
Result<bool> Centerline::refine(Accuracy accuracy) {
  knots_.front().section = first_.section;
  knots_.back().section = last_.section;
  std::vector<Knot> moved = knots_;
  for (std::size_t i = 1; i + 1 < knots_.size(); ++i) {
    Knot& knot = moved[i];
    Result<Section> section =
        section_at(knot.position, knot.tangent, knot.distance, knot.level, accuracy, &knot.level);
    if (!section) return section.issues();
    knot.section = std::move(section).value();
    // A plane that catches a side pocket must not throw the line out of the passage.
    const Vec3 move = knot.section.center - knot.position;
    const double limit = 0.5 * std::sqrt(knot.section.area);
    knot.position += move.norm() > limit ? Vec3(move * (limit / move.norm())) : move;
  }
  knots_ = std::move(moved);
  if (!guided_) still_echoes();
  // Where planes fan out around a corner their mean levels may run back a little.
  for (std::size_t i = 1; i < knots_.size(); ++i)
    knots_[i].level = std::max(knots_[i].level, knots_[i - 1].level);
  return true;
}

void Centerline::still_echoes() {
  std::vector<Section> sections;
  std::vector<double> distances;
  for (const Knot& knot : knots_) {
    sections.push_back(knot.section);
    distances.push_back(knot.distance);
  }
  const std::vector<Vec3> points = smooth_points(positions(knots_), echo_lengths(sections, distances));
  for (std::size_t i = 0; i < knots_.size(); ++i) knots_[i].position = points[i];
}

/// Near an oblique end the plane normal to the line would cut the end face: it is tilted towards the end
/// face's own plane just so far that it clears the rim.
Vec3 Centerline::clear_of_ends(const Vec3& position, const Vec3& tangent, double distance) const {
  const bool at_first = distance < 0.5 * length();
  const End& end = at_first ? first_ : last_;
  const double away = at_first ? distance : length() - distance;
  if (away > 2 * end.reach) return tangent;
  const double side = at_first ? -1.0 : 1.0;
  const Vec3 target = side * end.plane.normal;
  if (!(target.dot(tangent) > 0)) return tangent;
  const auto clears = [&](const Vec3& normal) {
    return std::all_of(end.rim.begin(), end.rim.end(),
                       [&](const Vec3& point) { return side * normal.dot(point - position) > 0; });
  };
  if (clears(tangent)) return tangent;
  double low = 0;
  double high = 1;
  for (int halving = 0; halving < 12; ++halving) {
    const double share = 0.5 * (low + high);
    (clears(((1 - share) * tangent + share * target).normalized()) ? high : low) = share;
  }
  return ((1 - high) * tangent + high * target).normalized();
}

double Centerline::distance_of_level(double level) const {
  const auto after = std::upper_bound(knots_.begin(), knots_.end(), level,
                                      [](double value, const Knot& knot) { return value < knot.level; });
  if (after == knots_.begin()) return 0;
  if (after == knots_.end()) return length();
  const Knot& a = *(after - 1);
  const double span = after->level - a.level;
  return span > 0 ? a.distance + (after->distance - a.distance) * (level - a.level) / span : a.distance;
}

Result<Section> Centerline::cut_once(const CutPlane& plane, double level, Accuracy accuracy,
                                     Selection& selection) const {
  const std::vector<CutLoop> loops = cut(mesh_, tree_, plane, levels_, accuracy);
  selection = select_loops(loops, distance_of_level(level),
                           [this](double value) { return distance_of_level(value); });
  Section section = summarize(plane, selection.outlines);
  if (section.area > 0) return section;
  return section_failed(plane.origin, "No closed section was found");
}

Result<Section> Centerline::section_at(const Vec3& position, const Vec3& tangent, double distance,
                                       double level, Accuracy accuracy, double* found_level) const {
  Selection selection;
  const CutPlane plane{position, clear_of_ends(position, guided_ ? guide(level) : tangent, distance)};
  Result<Section> section = cut_once(plane, level, accuracy, selection);
  if (!section || selection.spread > most_spread * std::sqrt(section.value().area)) {
    Selection other;
    const CutPlane guided{position, clear_of_ends(position, guide(level), distance)};
    Result<Section> second = cut_once(guided, level, accuracy, other);
    if (second && (!section || second.value().area < clearly_smaller * section.value().area)) {
      section = std::move(second);
      selection = std::move(other);
    }
  }
  if (section && found_level != nullptr && !guided_) *found_level = selection.level;
  return section;
}

Result<Knot> Centerline::at(double distance) const {
  if (distance <= 0) return knots_.front();
  if (distance >= length()) return knots_.back();
  const auto after = std::upper_bound(knots_.begin(), knots_.end(), distance,
                                      [](double value, const Knot& knot) { return value < knot.distance; });
  const Knot& a = *(after - 1);
  const Knot& b = *after;
  const double t = (distance - a.distance) / (b.distance - a.distance);
  const KnotSpan between(a, b);
  Knot knot;
  knot.distance = distance;
  knot.tangent = between.slope(t).normalized();
  knot.level = a.level + t * (b.level - a.level);
  Result<Section> section =
      section_at(between.position(t), knot.tangent, distance, knot.level, Accuracy::exact, nullptr);
  if (!section) return section.issues();
  knot.section = std::move(section).value();
  knot.position = knot.section.center;
  return knot;
}

}  // namespace corefeed::geometry
