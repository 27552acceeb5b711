// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <Eigen/Geometry>
#include <Standard_Failure.hxx>
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "cad_bridge/geometry/centreline.hpp"
#include "cad_bridge/geometry/divide.hpp"
#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"

namespace corefeed::geometry {
namespace {

constexpr double meter = 1e-3;  // of the kernel's mm
constexpr double square_meter = meter * meter;

Issue no_path(std::string text) {
  return {"no_path", Severity::error, Status::geometry, {}, std::move(text)};
}

Point to_point(const Vec3& position) {
  return {position.x() * meter, position.y() * meter, position.z() * meter};
}

std::vector<Curve> drawn_outlines(const Section& section) {
  const PlaneFrame frame(section.plane);
  std::vector<Curve> curves;
  for (const Outline& outline : section.outlines) {
    std::vector<Vec3> points;
    for (std::size_t i = 0; i < outline.points.size(); ++i) {
      points.push_back(frame.space(outline.points[i]));
      if (i < outline.middles.size()) points.push_back(frame.space(outline.middles[i]));
    }
    curves.push_back(drawn_loop(points));
  }
  return curves;
}

Station to_station(const Knot& knot) {
  const Section& section = knot.section;
  Station station;
  station.distance = knot.distance * meter;
  station.area = section.area * square_meter;
  station.perimeter = section.perimeter * meter;
  station.hydraulic_diameter = 4 * station.area / station.perimeter;
  station.center = to_point(knot.position);
  station.tangent = {knot.tangent.x(), knot.tangent.y(), knot.tangent.z()};
  station.loops = static_cast<int>(section.outlines.size());
  station.aspect = section.long_side > 0 ? section.short_side / section.long_side : 1.0;
  station.round = section.round;
  station.outlines = drawn_outlines(section);
  return station;
}

/// The numbers of an end face are known from its edges; the station there must not differ in the last digits.
void take_end(Station& station, const Opening& opening) {
  if (!(opening.area > 0) || !(opening.perimeter > 0)) return;
  station.area = opening.area;
  station.perimeter = opening.perimeter;
  station.hydraulic_diameter = 4 * opening.area / opening.perimeter;
  station.center = opening.center;
}

/// An end face cut obliquely is larger than the passage behind it, which is no diffuser: near the ends the
/// area counts as seen along the line. A small slant is left alone, so that pieces show the opening's own
/// area.
double seen_along(const Knot& knot, double length) {
  constexpr double slanted = 0.985;  // cosine of 10 degrees
  const double from_end = std::min(knot.distance, length - knot.distance);
  const double cosine = std::abs(knot.section.plane.normal.dot(knot.tangent));
  const bool counts = from_end < std::sqrt(knot.section.area) && cosine < slanted;
  return counts ? knot.section.area * cosine : knot.section.area;
}

PathSample to_sample(const Knot& knot, double length) {
  const Section& section = knot.section;
  return {knot.distance * meter,
          seen_along(knot, length) * square_meter,
          4 * section.area / section.perimeter * meter,
          knot.tangent,
          section.long_side * meter,
          section.short_side * meter,
          section.long_axis,
          section.round};
}

/// Sides of the section along the bend's axis and across it, m.
struct BendSides {
  double height = 0;
  double width = 0;
};

BendSides sides_in(const Bend& bend, const Knot& knot) {
  const Vec3 axis = (bend.axis - bend.axis.dot(knot.tangent) * knot.tangent).normalized();
  return {extent(knot.section, axis) * meter, extent(knot.section, axis.cross(knot.tangent)) * meter};
}

std::vector<double> wanted_distances(const PathOptions& options, double length) {
  constexpr double rounding = 1e-12;
  std::vector<double> distances;
  const int count = std::max(options.sections, 2);
  for (int i = 0; i < count; ++i) distances.push_back(length * i / (count - 1));
  for (const double share : options.shares) distances.push_back(length * std::clamp(share, 0.0, 1.0));
  // A rounding error before the end there is no whole section any more, only the end face itself.
  for (double& distance : distances) {
    if (distance < rounding * length) distance = 0;
    if (distance > (1 - rounding) * length) distance = length;
  }
  std::sort(distances.begin(), distances.end());
  const auto same = [&](double a, double b) { return b - a < rounding * length; };
  distances.erase(std::unique(distances.begin(), distances.end(), same), distances.end());
  return distances;
}

/// Distances along the line at which a plane normal to it meets a corner of the wall: between two of them the
/// section changes smoothly. `near` apart or closer count as one.
std::vector<double> distances_of_corners(const WallMesh& mesh, const Centerline& line, double near) {
  std::vector<double> distances;
  for (const int vertex : sharp_vertices(mesh)) {
    const Vec3& point = mesh.points[static_cast<std::size_t>(vertex)];
    const auto knot =
        std::min_element(line.knots().begin(), line.knots().end(), [&point](const Knot& a, const Knot& b) {
          return (a.position - point).squaredNorm() < (b.position - point).squaredNorm();
        });
    const double distance = knot->distance + knot->tangent.dot(point - knot->position);
    if (distance > 0 && distance < line.length()) distances.push_back(distance);
  }
  std::sort(distances.begin(), distances.end());
  const auto same = [near](double a, double b) { return b - a < near; };
  distances.erase(std::unique(distances.begin(), distances.end(), same), distances.end());
  return distances;
}

class Tracer {
 public:
  Tracer(const Passage& passage, std::size_t from, std::size_t to, const Centerline& line,
         const WallMesh& mesh)
      : passage_(passage), from_(from), to_(to), line_(line), mesh_(mesh) {}

  Result<Path> run(const PathOptions& options) {
    path_.from = passage_.openings[from_].name;
    path_.to = passage_.openings[to_].name;
    path_.length = line_.length() * meter;
    for (const Knot& knot : line_.knots()) samples_.push_back(to_sample(knot, line_.length()));
    const Division division = divide(samples_, [this](double distance) { return area_at(distance); });
    path_.pieces = division.pieces;
    if (Result<bool> added = add_stations(options, division.bends); !added) return added.issues();
    if (Result<bool> added = add_aspects(division.bends); !added) return added.issues();
    find_narrowest();
    if (const Result<Knot> knot = line_.at(path_.narrowest_distance / meter); knot)
      path_.narrowest_outlines = drawn_outlines(knot.value().section);
    return std::move(path_);
  }

 private:
  double area_at(double distance) const {
    const Result<Knot> knot = line_.at(distance / meter);
    return knot ? knot.value().section.area * square_meter : 0.0;
  }

  Result<bool> add_stations(const PathOptions& options, const std::vector<Bend>& bends) {
    for (const double distance : wanted_distances(options, line_.length())) {
      const Result<Knot> knot = line_.at(distance);
      if (!knot) return knot.issues();
      Station station = to_station(knot.value());
      if (distance <= 0) take_end(station, passage_.openings[from_]);
      if (distance >= line_.length()) take_end(station, passage_.openings[to_]);
      for (const Bend& bend : bends) {
        if (station.distance < bend.from || station.distance > bend.to) continue;
        const BendSides sides = sides_in(bend, knot.value());
        station.height_along_bend_axis = sides.height;
        station.width_in_bend_plane = sides.width;
      }
      path_.stations.push_back(station);
    }
    return true;
  }

  /// The bend law wants the side along the bend's axis over the side in its plane: halfway round an arc, in
  /// the leg before a corner.
  Result<bool> add_aspects(const std::vector<Bend>& bends) {
    auto bend = bends.begin();
    for (Piece& piece : path_.pieces) {
      if (piece.kind != "bend") continue;
      const double length = bend->to - bend->from;
      const double place = bend->sharp ? bend->from - 0.1 * length : bend->from + 0.5 * length;
      const Result<Knot> knot = line_.at(place / meter);
      if (!knot) return knot.issues();
      const BendSides sides = sides_in(*bend++, knot.value());
      piece.numbers["aspect"] = sides.height / sides.width;
    }
    return true;
  }

  /// The smallest of all sections, then closed in on; the first of equals.
  void find_narrowest() {
    const std::vector<Knot>& knots = line_.knots();
    std::size_t best = 0;
    for (std::size_t i = 1; i < knots.size(); ++i) {
      if (knots[i].section.area < knots[best].section.area * (1 - 1e-5)) best = i;
    }
    path_.narrowest_distance = knots[best].distance * meter;
    path_.narrowest_area = knots[best].section.area * square_meter;
    if (look_between_corners()) return;
    double low = knots[best > 0 ? best - 1 : best].distance * meter;
    double high = knots[std::min(best + 1, knots.size() - 1)].distance * meter;
    for (int step = 0; step < 10; ++step) {
      const double before = 0.5 * (low + path_.narrowest_distance);
      const double after = 0.5 * (path_.narrowest_distance + high);
      if (narrower(before)) {
        high = std::exchange(path_.narrowest_distance, before);
      } else if (narrower(after)) {
        low = std::exchange(path_.narrowest_distance, after);
      } else {
        low = before;
        high = after;
      }
    }
  }

  /// A rib or a vane may stand between two knots. True where one is narrower than every knot.
  bool look_between_corners() {
    const double near = 1e-4 * line_.length();
    const std::vector<double> corners = distances_of_corners(mesh_, line_, near);
    bool found = false;
    for (std::size_t i = 1; i < corners.size(); ++i) {
      const double middle = 0.5 * (corners[i - 1] + corners[i]) * meter;
      if (!narrower(middle)) continue;
      path_.narrowest_distance = middle;
      found = true;
    }
    return found;
  }

  bool narrower(double distance) {
    const double area = area_at(distance);
    if (!(area > 0) || area >= path_.narrowest_area * (1 - 1e-7)) return false;
    path_.narrowest_area = area;
    return true;
  }

  const Passage& passage_;
  std::size_t from_;
  std::size_t to_;
  const Centerline& line_;
  const WallMesh& mesh_;
  std::vector<PathSample> samples_;
  Path path_;
};

/// Half the root of the smaller opening's area: fine enough for a function that varies along the passage.
double longest_edge(const WallMesh& mesh, int from, int to) {
  double smaller = mesh.diagonal * mesh.diagonal;
  for (const int opening : {from, to}) {
    double area = 0;
    for (std::size_t index = 0; index < mesh.triangles.size(); ++index) {
      if (!mesh.on_opening(static_cast<int>(index), opening)) continue;
      const auto& c = mesh.triangles[index].corners;
      const auto point = [&](std::size_t i) -> const Vec3& {
        return mesh.points[static_cast<std::size_t>(c[i])];
      };
      area += 0.5 * (point(1) - point(0)).cross(point(2) - point(0)).norm();
    }
    if (area > 0) smaller = std::min(smaller, area);
  }
  return std::max(0.5 * std::sqrt(smaller), 1e-3 * mesh.diagonal);
}

Result<Path> trace(const Passage& passage, std::size_t from, std::size_t to, const PathOptions& options) {
  Result<WallMesh> built = build_wall_mesh(passage);
  if (!built) return built.issues();
  WallMesh mesh = std::move(built).value();
  const int first = static_cast<int>(from);
  const int last = static_cast<int>(to);
  split_long_edges(mesh, longest_edge(mesh, first, last));
  const SectionTree tree(mesh);
  Centerline line(mesh, tree, first, last);
  if (Result<bool> followed = line.follow(); !followed) return followed.issues();
  return Tracer(passage, from, to, line, mesh).run(options);
}

}  // namespace

Result<Path> trace_path(const Passage& passage, std::size_t from, std::size_t to,
                        const PathOptions& options) {
  if (from >= passage.openings.size() || to >= passage.openings.size() || from == to) {
    return no_path(
        fmt::format("A path needs two different openings; the passage has {}.", passage.openings.size()));
  }
  try {
    return trace(passage, from, to, options);
  } catch (const Standard_Failure& failure) {
    const Point& at = passage.openings[from].center;
    return Issue{
        "section_failed",
        Severity::error,
        Status::geometry,
        {},
        fmt::format("The geometry kernel gave up on the passage that begins near ({:.6g}, {:.6g}, {:.6g}) "
                    "m ({}); expected a sound flow volume.",
                    at[0], at[1], at[2], corefeed::quoted(failure.GetMessageString()))};
  }
}

}  // namespace corefeed::geometry
