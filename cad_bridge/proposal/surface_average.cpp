// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/surface_average.hpp"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

namespace bg = boost::geometry;
using Flat = bg::model::d2::point_xy<double>;
using Polygon = bg::model::polygon<Flat>;
using Vec3 = Eigen::Vector3d;

// Closures of ours: cells fine enough for the edge of an opening, and few enough that a coarse surface fills
// them.
constexpr std::size_t cells_across = 24;
constexpr std::size_t fewest_points = 12;
constexpr std::size_t fewest_cells = 6;
/// How far from the opening's plane a point of the surface may lie, in hydraulic diameters: panels are
/// curved.
constexpr double depth = 0.5;

Vec3 vector_of(const std::array<double, 3>& point) { return {point[0], point[1], point[2]}; }

Issue issue_of(std::string code, std::string text, Severity severity = Severity::error) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::input;
  issue.severity = severity;
  issue.text = std::move(text);
  return issue;
}

/// An opening in its own plane.
class Target {
 public:
  Target(std::string name, const worker::Point& center, const worker::Direction& normal,
         double hydraulic_diameter, const std::vector<worker::Curve>& outlines, double ring)
      : name_(std::move(name)),
        center_(vector_of(center)),
        normal_(vector_of(normal).normalized()),
        ring_(ring * hydraulic_diameter),
        depth_(depth * hydraulic_diameter) {
    across_ = normal_.unitOrthogonal();
    up_ = normal_.cross(across_);
    for (const worker::Curve& outline : outlines) {
      Polygon polygon;
      for (const worker::Point& point : outline) bg::append(polygon.outer(), flat(vector_of(point)));
      bg::correct(polygon);
      polygons_.push_back(std::move(polygon));
      for (const worker::Point& point : outline) {
        const Flat corner = flat(vector_of(point));
        reach_ = std::max({reach_, std::abs(corner.x()), std::abs(corner.y())});
      }
    }
    reach_ += ring_;
    weigh_cells();
  }

  const std::string& name() const { return name_; }
  double ring() const { return ring_; }
  double weight(std::size_t cell) const { return weights_[cell]; }
  double distance(const worker::Point& point) const { return (vector_of(point) - center_).norm(); }

  /// The cell in which a point counts, or nothing where it lies beside the opening and its ring.
  std::optional<std::size_t> cell_of(const worker::Point& point) const {
    const Vec3 place = vector_of(point);
    if (std::abs((place - center_).dot(normal_)) > depth_) return std::nullopt;
    const Flat seen = flat(place);
    if (std::abs(seen.x()) >= reach_ || std::abs(seen.y()) >= reach_) return std::nullopt;
    if (!counts(seen)) return std::nullopt;
    const auto row = [this](double along) {
      return static_cast<std::size_t>((along + reach_) / (2.0 * reach_) * static_cast<double>(cells_across));
    };
    return row(seen.x()) * cells_across + row(seen.y());
  }

 private:
  Flat flat(const Vec3& point) const { return {(point - center_).dot(across_), (point - center_).dot(up_)}; }

  bool counts(const Flat& seen) const {
    const auto near = [&](const Polygon& polygon) { return bg::distance(seen, polygon) <= ring_; };
    return std::any_of(polygons_.begin(), polygons_.end(), near);
  }

  /// Share of each cell that opening and ring cover, from 4 by 4 places in it.
  void weigh_cells() {
    constexpr std::size_t places = 4 * cells_across;
    const auto along = [this](std::size_t place) {
      return ((static_cast<double>(place) + 0.5) / static_cast<double>(places) * 2.0 - 1.0) * reach_;
    };
    weights_.assign(cells_across * cells_across, 0.0);
    for (std::size_t i = 0; i < places; ++i) {
      for (std::size_t j = 0; j < places; ++j) {
        if (counts({along(i), along(j)})) weights_[i / 4 * cells_across + j / 4] += 1.0 / 16.0;
      }
    }
  }

  std::string name_;
  Vec3 center_;
  Vec3 normal_;
  Vec3 across_;
  Vec3 up_;
  double ring_;
  double depth_;
  double reach_ = 0;
  std::vector<Polygon> polygons_;
  std::vector<double> weights_;
};

/// "fender_vent" of the port "fender_vent.to"; a name that is no port's stays.
std::string element_of(const std::string& opening) {
  constexpr std::array<std::string_view, 6> ends{".from", ".to", ".in", ".out", ".inlet", ".outlet"};
  for (const std::string_view end : ends) {
    if (opening.size() > end.size() && std::string_view(opening).substr(opening.size() - end.size()) == end)
      return opening.substr(0, opening.size() - end.size());
  }
  return opening;
}

std::vector<Target> targets_of(const worker::Measurement& measurement, const AverageOptions& options,
                               std::set<std::string>& used) {
  std::vector<Target> targets;
  const auto add = [&](const std::string& name, const auto& hole, double hydraulic_diameter) {
    const auto renamed = options.names.find(name);
    if (renamed != options.names.end()) used.insert(name);
    targets.emplace_back(renamed != options.names.end() ? renamed->second : element_of(name), hole.center,
                         hole.normal, hydraulic_diameter, hole.outlines, options.ring);
  };
  for (const worker::Part& part : measurement.parts) {
    for (const worker::Opening& opening : part.openings)
      add(opening.name, opening, opening.hydraulic_diameter);
    for (const worker::Cutout& cutout : part.cutouts)
      add(cutout.name, cutout, 4.0 * cutout.projected_area / cutout.perimeter);
  }
  return targets;
}

/// What the points of one run give for one opening.
struct Sum {
  std::size_t points = 0;
  std::size_t cells = 0;
  double cp = 0;
  double sigma = 0;
  double nearest = std::numeric_limits<double>::infinity();
  bool enough() const { return points >= fewest_points && cells >= fewest_cells; }
};

Sum sum_of(const Target& target, const SurfaceRun& run) {
  Sum sum;
  std::vector<double> totals(cells_across * cells_across, 0.0);
  std::vector<std::size_t> counts(totals.size(), 0);
  for (std::size_t i = 0; i < run.points.size(); ++i) {
    sum.nearest = std::min(sum.nearest, target.distance(run.points[i]));
    const auto cell = target.cell_of(run.points[i]);
    if (!cell) continue;
    totals[*cell] += run.cp[i];
    ++counts[*cell];
    ++sum.points;
  }
  double whole = 0.0;
  for (std::size_t cell = 0; cell < totals.size(); ++cell) {
    if (counts[cell] == 0) continue;
    totals[cell] /= static_cast<double>(counts[cell]);
    ++sum.cells;
    whole += target.weight(cell);
    sum.cp += target.weight(cell) * totals[cell];
  }
  if (whole == 0.0) return sum;
  sum.cp /= whole;
  double variance = 0.0;
  for (std::size_t cell = 0; cell < totals.size(); ++cell) {
    if (counts[cell] > 0) variance += target.weight(cell) * std::pow(totals[cell] - sum.cp, 2.0);
  }
  sum.sigma = std::sqrt(variance / whole);
  return sum;
}

/// Each run at its own place, and all along the same axes.
void check_runs(const std::vector<SurfaceRun>& runs, std::vector<Issue>& issues) {
  for (std::size_t i = 1; i < runs.size(); ++i) {
    const SurfaceRun& first = runs.front();
    const SurfaceRun& run = runs[i];
    if (run.ride_height.has_value() != first.ride_height.has_value() ||
        run.yaw.has_value() != first.yaw.has_value()) {
      issues.push_back(issue_of(
          "contradiction",
          fmt::format("{} and {} do not give the same of ride_height and yaw", first.file, run.file)));
      return;
    }
    for (std::size_t j = 0; j < i; ++j) {
      if (runs[j].ride_height == run.ride_height && runs[j].yaw == run.yaw)
        issues.push_back(
            issue_of("duplicate_run", fmt::format("{} and {} have the same ride height and yaw; write them "
                                                  "behind an @ or as columns",
                                                  runs[j].file, run.file)));
    }
  }
}

std::string millimeters(double length) { return units::show(length, units::Quantity::length); }

std::string too_few(const Target& target, const Sum& sum) {
  return fmt::format("{}: {} points of the surface within {} of its outline, the nearest {} from its center",
                     target.name(), sum.points, millimeters(target.ring()), millimeters(sum.nearest));
}

}  // namespace

Result<SurfaceAverages> average_surface(const worker::Measurement& measurement,
                                        const std::vector<SurfaceRun>& runs, const AverageOptions& options) {
  std::vector<Issue> issues;
  check_runs(runs, issues);
  if (!issues.empty()) return issues;
  std::set<std::string> used;
  const std::vector<Target> targets = targets_of(measurement, options, used);
  for (const auto& [name, element] : options.names) {
    if (!used.contains(name))
      issues.push_back(
          issue_of("unknown_name", fmt::format("the file has no opening or cut-out {}", quoted(name))));
  }
  SurfaceAverages averages;
  for (const Target& target : targets) {
    std::vector<Sum> sums;
    for (const SurfaceRun& run : runs) sums.push_back(sum_of(target, run));
    const bool reached = std::any_of(sums.begin(), sums.end(), [](const Sum& sum) { return sum.enough(); });
    if (!reached) {
      averages.warnings.push_back(
          issue_of("no_points", too_few(target, sums.front()) + "; it is left out", Severity::warning));
      continue;
    }
    for (std::size_t run = 0; run < runs.size(); ++run) {
      if (!sums[run].enough()) {
        issues.push_back(
            issue_of("too_few_points", fmt::format("{}: {}", runs[run].file, too_few(target, sums[run]))));
        issues.back().place.file = runs[run].file;
      }
      averages.rows.push_back({target.name(), run, sums[run].cp, sums[run].sigma, sums[run].points});
    }
  }
  if (averages.rows.empty() && issues.empty()) {
    issues = averages.warnings;
    for (Issue& issue : issues) issue.severity = Severity::error;
    if (issues.empty())
      issues.push_back(issue_of("no_points", "the file has no opening and no cut-out to average over"));
  }
  if (!issues.empty()) return issues;
  return averages;
}

std::string surface_table(const SurfaceAverages& averages, const std::vector<SurfaceRun>& runs) {
  const bool heights = runs.front().ride_height.has_value();
  const bool yaws = runs.front().yaw.has_value();
  std::string text =
      fmt::format("opening{}{},cp,sigma\n", heights ? ",ride_height [mm]" : "", yaws ? ",yaw [deg]" : "");
  for (const OpeningPressure& row : averages.rows) {
    const SurfaceRun& run = runs[row.run];
    text += row.opening;
    if (heights) text += fmt::format(",{:.10g}", *run.ride_height * 1e3);
    if (yaws) text += fmt::format(",{:.10g}", *run.yaw * 180.0 / std::acos(-1.0));
    text += fmt::format(",{:.5f},{:.5f}\n", row.cp, row.sigma);
  }
  return text;
}

}  // namespace corefeed::proposal
