// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_page.hpp"

#include <fmt/format.h>

#include <numbers>

#include "cad_bridge/proposal/measurement_views.hpp"
#include "corefeed/reports/svg.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

using reports::Stroke;
using units::Quantity;

constexpr double millimeters = 1e3;  // per m
constexpr double picture_width = 760;

std::string length(double value) { return units::show(value, Quantity::length); }
std::string area(double value) { return units::show(value, Quantity::area); }
std::string degrees(double value) { return fmt::format("{:.1f} deg", value * 180 / std::numbers::pi); }
std::string percent(double share) { return fmt::format("{:.1f} %", 100 * share); }

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

std::string sections_table(const worker::Path& path) {
  std::string table = "<table>\n" + row({"section", "distance", "width x height, mm", "area", "perimeter",
                                         "hydraulic diameter", "passages"},
                                        "th");
  const std::vector<std::size_t> numbered = numbered_stations(path);
  for (std::size_t i = 0; i < numbered.size(); ++i) {
    const worker::Station& station = path.stations[numbered[i]];
    table +=
        row({fmt::format("{}", i + 1), length(station.distance),
             sides_text(station.outlines, station.tangent), area(station.area), length(station.perimeter),
             length(station.hydraulic_diameter), fmt::format("{}", station.loops)});
  }
  table += row({"narrowest", length(path.narrowest.distance), "", area(path.narrowest.area), "", "", ""});
  return table + "</table>\n";
}

std::string path_part(const worker::Path& path) {
  std::string text = fmt::format("<h3>{}</h3>\n<p>Length {}.</p>\n",
                                 reports::markup_text(path.from + " to " + path.to), length(path.length));
  text += section_gallery(path) + sections_table(path) + area_chart(path);
  text += "<table>\n" + row({"", "piece", "from", "to", "why it begins here"}, "th");
  for (std::size_t i = 0; i < path.pieces.size(); ++i) {
    const worker::Piece& piece = path.pieces[i];
    text += row({fmt::format("{}", i + 1), piece.kind, length(piece.from), length(piece.to), piece.reason});
  }
  return text + "</table>\n";
}

std::string part_section(const worker::Part& part, const worker::Measurement& whole) {
  std::string text = fmt::format("<h2>{}</h2>\n", reports::markup_text(part.name + " (" + part.kind + ")"));
  if (part.volume)
    text += fmt::format("<p>Volume of the air: {}.</p>\n", units::show(*part.volume, Quantity::volume));
  if (part.core) {
    text += fmt::format("<p>Face {}, free between the tubes {}, depth {}.</p>\n", area(part.core->face_area),
                        area(part.core->free_face_area), length(part.core->depth));
  }
  text += part.cutouts.empty() ? duct_views(part) : panel_views(part, whole);
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
    if (part.kind != "body") body += part_section(part, measurement);
  }
  if (!measurement.gaps.empty()) {
    body += "<h2>Gaps</h2>\n<table>\n" +
            row({"duct", "core", "rim", "gap area", "face covered", "inclined by"}, "th");
    for (const worker::Gap& gap : measurement.gaps) {
      body += row({gap.duct, gap.core, length(gap.rim_length), area(gap.gap_area), percent(gap.face_coverage),
                   degrees(gap.incidence)});
    }
    body += "</table>\n";
  }
  return reports::page("Measured: " + measurement.file, body);
}

}  // namespace corefeed::proposal
