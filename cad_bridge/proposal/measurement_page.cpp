// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "corefeed/reports/svg.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

using reports::Label;
using reports::PlanePoint;
using reports::Stroke;
using units::Quantity;
using worker::Direction;
using worker::Point;

constexpr double millimeters = 1e3;  // per m
constexpr double picture_width = 760;

std::string length(double value) { return units::show(value, Quantity::length); }
std::string area(double value) { return units::show(value, Quantity::area); }
std::string degrees(double value) { return fmt::format("{:.1f} deg", value * 180 / std::numbers::pi); }
std::string percent(double share) { return fmt::format("{:.1f} %", 100 * share); }

/// A view along one of the axes.
struct Looking {
  std::size_t across;
  std::size_t up;
  std::string name;

  PlanePoint flat(const Point& p) const { return {p[across] * millimeters, p[up] * millimeters}; }
};

/// A circle of the given area in space, seen along the axis.
Stroke circle(const Point& center, const Direction& normal, double size, const Looking& view,
              const std::string& style) {
  const double radius = std::sqrt(size / std::numbers::pi);
  const std::size_t least = static_cast<std::size_t>(
      std::min_element(normal.begin(), normal.end(),
                       [](double a, double b) { return std::abs(a) < std::abs(b); }) -
      normal.begin());
  // Across the normal and the axis that it leans to least.
  Direction first{};
  const std::size_t next = (least + 1) % 3;
  const std::size_t last = (least + 2) % 3;
  const double flat = std::hypot(normal[next], normal[last]);
  first[next] = -normal[last] / flat;
  first[last] = normal[next] / flat;
  const Direction second{normal[1] * first[2] - normal[2] * first[1],
                         normal[2] * first[0] - normal[0] * first[2],
                         normal[0] * first[1] - normal[1] * first[0]};
  Stroke stroke;
  stroke.style = style;
  stroke.closed = true;
  constexpr int corners = 48;
  for (int i = 0; i < corners; ++i) {
    const double angle = 2 * std::numbers::pi * i / corners;
    Point point{};
    for (std::size_t k = 0; k < 3; ++k)
      point[k] = center[k] + radius * (std::cos(angle) * first[k] + std::sin(angle) * second[k]);
    stroke.points.push_back(view.flat(point));
  }
  return stroke;
}

/// The duct's outline: the outermost point of each section to either side of the line.
void add_walls(const worker::Path& path, const Looking& view, std::vector<Stroke>& strokes) {
  Stroke left{{}, "wall", false};
  Stroke right{{}, "wall", false};
  for (const worker::Station& station : path.stations) {
    const double radius = std::sqrt(station.area / std::numbers::pi) * millimeters;
    const double x = station.tangent[view.across];
    const double y = station.tangent[view.up];
    const double seen = std::hypot(x, y);
    if (seen < 1e-3) continue;
    const PlanePoint center = view.flat(station.center);
    left.points.emplace_back(center.first - y / seen * radius, center.second + x / seen * radius);
    right.points.emplace_back(center.first + y / seen * radius, center.second - x / seen * radius);
  }
  strokes.push_back(std::move(left));
  strokes.push_back(std::move(right));
}

void add_path(const worker::Path& path, const Looking& view, std::vector<Stroke>& strokes) {
  Stroke line{{}, "center", false};
  for (const worker::Station& station : path.stations) {
    line.points.push_back(view.flat(station.center));
    strokes.push_back(circle(station.center, station.tangent, station.area, view, "section"));
  }
  add_walls(path, view, strokes);
  strokes.push_back(std::move(line));
}

std::string view_of(const worker::Part& part, const Looking& view) {
  std::vector<Stroke> strokes;
  std::vector<Label> labels;
  for (const worker::Path& path : part.paths) add_path(path, view, strokes);
  for (const worker::Opening& opening : part.openings) {
    strokes.push_back(circle(opening.center, opening.normal, opening.area, view, "opening"));
    labels.push_back({view.flat(opening.center), opening.name});
  }
  for (const worker::Cutout& cutout : part.cutouts) {
    strokes.push_back(circle(cutout.center, cutout.normal, cutout.projected_area, view, "opening"));
    labels.push_back({view.flat(cutout.center), cutout.name});
  }
  if (part.core)
    strokes.push_back(circle(part.core->center, part.core->normal, part.core->face_area, view, "core"));
  const std::string picture = reports::scale_drawing(strokes, labels, picture_width, 360);
  return picture.empty() ? "" : fmt::format("<p>{}</p>\n{}", view.name, picture);
}

std::string row(std::initializer_list<std::string> cells, std::string_view tag = "td") {
  std::string text = "<tr>";
  for (const std::string& cell : cells)
    text += fmt::format("<{0}>{1}</{0}>", tag, reports::markup_text(cell));
  return text + "</tr>\n";
}

std::string blockers_text(const std::vector<worker::Blocker>& blockers) {
  std::string text;
  for (const worker::Blocker& blocker : blockers) {
    text +=
        fmt::format("{}{} covers {} at a gap of {}, open along {}", text.empty() ? "" : "; ", blocker.part,
                    percent(blocker.share), length(blocker.gap), length(blocker.open_perimeter));
  }
  return text.empty() ? "nothing" : text;
}

std::string openings_table(const worker::Part& part) {
  if (part.openings.empty()) return {};
  std::string table =
      "<table>\n" +
      row({"opening", "area", "perimeter", "hydraulic diameter", "free area", "before it"}, "th");
  for (const worker::Opening& opening : part.openings) {
    table +=
        row({opening.name, area(opening.area), length(opening.perimeter), length(opening.hydraulic_diameter),
             area(opening.free_area), blockers_text(opening.blocked_by)});
  }
  return table + "</table>\n";
}

std::string cutouts_table(const worker::Part& part) {
  if (part.cutouts.empty()) return {};
  std::string table =
      "<table>\n" +
      row({"cut-out", "projected area", "free area", "perimeter", "edge", "louvre", "before it"}, "th");
  for (const worker::Cutout& cutout : part.cutouts) {
    const std::string louvre =
        cutout.louvre ? fmt::format("{} blades at {}, throat {}", cutout.louvre->blades,
                                    degrees(cutout.louvre->blade_angle), area(cutout.louvre->throat_area))
                      : "";
    table += row({cutout.name, area(cutout.projected_area), area(cutout.free_area), length(cutout.perimeter),
                  length(cutout.thickness), louvre, blockers_text(cutout.blocked_by)});
  }
  return table + "</table>\n";
}

std::string area_chart(const worker::Path& path) {
  reports::LineChart chart;
  chart.x_title = "distance, mm";
  chart.y_title = "area, cm2";
  Stroke line{{}, "line", false};
  for (const worker::Station& station : path.stations)
    line.points.emplace_back(station.distance * millimeters, station.area * 1e4);
  chart.lines.push_back(std::move(line));
  chart.marks.push_back({{path.narrowest.distance * millimeters, path.narrowest.area * 1e4},
                         "narrowest " + area(path.narrowest.area)});
  return reports::line_chart(chart, picture_width, 260);
}

std::string path_part(const worker::Path& path) {
  std::string text = fmt::format("<h3>{}</h3>\n<p>Length {}.</p>\n",
                                 reports::markup_text(path.from + " to " + path.to), length(path.length));
  text += area_chart(path);
  text += "<table>\n" + row({"", "piece", "from", "to", "why it begins here"}, "th");
  for (std::size_t i = 0; i < path.pieces.size(); ++i) {
    const worker::Piece& piece = path.pieces[i];
    text += row({fmt::format("{}", i + 1), piece.kind, length(piece.from), length(piece.to), piece.reason});
  }
  return text + "</table>\n";
}

/// The two views that show most: along the axes in which the part is thinnest.
std::array<Looking, 2> views_of(const worker::Part& part) {
  std::array<Looking, 3> all{Looking{0, 2, "Seen along y"}, Looking{0, 1, "Seen along z"},
                             Looking{1, 2, "Seen along x"}};
  Point low{};
  Point high{};
  bool first = true;
  const auto add = [&](const Point& center, double size) {
    const double radius = std::sqrt(size / std::numbers::pi);
    for (std::size_t i = 0; i < 3; ++i) {
      low[i] = first ? center[i] - radius : std::min(low[i], center[i] - radius);
      high[i] = first ? center[i] + radius : std::max(high[i], center[i] + radius);
    }
    first = false;
  };
  for (const worker::Path& path : part.paths) {
    for (const worker::Station& station : path.stations) add(station.center, station.area);
  }
  for (const worker::Opening& opening : part.openings) add(opening.center, opening.area);
  for (const worker::Cutout& cutout : part.cutouts) add(cutout.center, cutout.projected_area);
  if (part.core) add(part.core->center, part.core->face_area);
  const auto seen = [&](const Looking& view) {
    return (high[view.across] - low[view.across]) * (high[view.up] - low[view.up]);
  };
  std::stable_sort(all.begin(), all.end(),
                   [&](const Looking& a, const Looking& b) { return seen(a) > seen(b) * (1 + 1e-6); });
  return {all[0], all[1]};
}

std::string part_section(const worker::Part& part) {
  std::string text = fmt::format("<h2>{}</h2>\n", reports::markup_text(part.name + " (" + part.kind + ")"));
  if (part.volume)
    text += fmt::format("<p>Volume of the air: {}.</p>\n", units::show(*part.volume, Quantity::volume));
  if (part.core) {
    text += fmt::format("<p>Face {}, free between the tubes {}, depth {}.</p>\n", area(part.core->face_area),
                        area(part.core->free_face_area), length(part.core->depth));
  }
  text +=
      "<p>Openings, cut-outs and sections are drawn as circles of their area, whatever their shape.</p>\n";
  for (const Looking& view : views_of(part)) text += view_of(part, view);
  text += openings_table(part) + cutouts_table(part);
  for (const worker::Path& path : part.paths) text += path_part(path);
  return text;
}

}  // namespace

std::string measurement_page(const worker::Measurement& measurement) {
  const auto& box = measurement.bounding_box;
  std::string body = fmt::format("<p>Unit {}, {} x {} x {}.</p>\n", reports::markup_text(measurement.unit),
                                 length(box[1][0] - box[0][0]), length(box[1][1] - box[0][1]),
                                 length(box[1][2] - box[0][2]));
  for (const worker::MeasureWarning& warning : measurement.warnings)
    body += fmt::format("<p class=\"warning\">Warning: {}.</p>\n", reports::markup_text(warning.text));
  for (const worker::Part& part : measurement.parts) {
    if (part.kind != "body") body += part_section(part);
  }
  if (!measurement.gaps.empty()) {
    body += "<h2>Gaps</h2>\n<table>\n" + row({"duct", "core", "rim", "gap area", "face covered"}, "th");
    for (const worker::Gap& gap : measurement.gaps) {
      body +=
          row({gap.duct, gap.core, length(gap.rim_length), area(gap.gap_area), percent(gap.face_coverage)});
    }
    body += "</table>\n";
  }
  return reports::page("Measured: " + measurement.file, body);
}

}  // namespace corefeed::proposal
