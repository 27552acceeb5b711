// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_views.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "cad_bridge/proposal/drawing_sheet.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

using reports::PlanePoint;
using units::Quantity;
using worker::Curve;
using worker::Direction;
using worker::Point;

constexpr double page_width = 760;  // px
constexpr double most_height = 420;
constexpr double gallery_cell = 170;
constexpr double millimeters = 1e3;  // per m

void add_closed(Sheet& sheet, const std::vector<Curve>& curves, std::string_view style) {
  for (const Curve& curve : curves) sheet.curve(curve, style, true);
}

/// The point of a section that lies farthest to one side of the line, as seen.
PlanePoint outermost(const std::vector<Curve>& outlines, const View& view, double x, double y) {
  PlanePoint best{};
  double farthest = -std::numeric_limits<double>::infinity();
  for (const Curve& curve : outlines) {
    for (const Point& point : curve) {
      const PlanePoint at = view.flat(point);
      const double away = at.first * x + at.second * y;
      if (!(away > farthest)) continue;
      farthest = away;
      best = at;
    }
  }
  return best;
}

/// Of the plane in which closed curves lie: their vector area (Newell's sum).
Direction normal_of(const std::vector<Curve>& outlines) {
  Direction sum{};
  for (const Curve& curve : outlines) {
    for (std::size_t i = 0; i < curve.size(); ++i) {
      const Point& a = curve[i];
      const Point& b = curve[(i + 1) % curve.size()];
      for (std::size_t k = 0; k < 3; ++k) {
        const std::size_t next = (k + 1) % 3;
        const std::size_t last = (k + 2) % 3;
        sum[k] += (a[next] - b[next]) * (a[last] + b[last]);
      }
    }
  }
  return sum;
}

struct Seen {
  double x = 0;
  double y = 0;
  double length = 0;
};

Seen seen(const Direction& direction, const View& view) {
  const PlanePoint flat = view.flat(direction);
  const double length = std::hypot(flat.first, flat.second) / millimeters;
  return {flat.first / millimeters / std::max(length, 1e-9),
          flat.second / millimeters / std::max(length, 1e-9), length};
}

bool in_junction(const worker::Path& path, double distance) {
  return std::any_of(path.pieces.begin(), path.pieces.end(), [distance](const worker::Piece& piece) {
    return piece.kind == "junction" && distance > piece.from && distance < piece.to;
  });
}

/// Sections with few corners belong to a duct whose walls meet in edges, which are drawn as such.
bool has_smooth_walls(const worker::Path& path) {
  constexpr std::size_t most_corners = 12;
  return std::any_of(path.stations.begin(), path.stations.end(), [](const worker::Station& station) {
    return std::any_of(station.outlines.begin(), station.outlines.end(),
                       [](const Curve& curve) { return curve.size() > most_corners; });
  });
}

/// The silhouette of smooth walls: the outermost points of the sections to either side of the line.
void add_walls(Sheet& sheet, const worker::Path& path) {
  constexpr double end_on = 0.2;  // sections are seen nearly from the front then
  for (const double side : {1.0, -1.0}) {
    std::vector<PlanePoint> wall;
    for (const worker::Station& station : path.stations) {
      const Seen along = seen(station.tangent, sheet.view());
      if (along.length < end_on || station.outlines.empty() || in_junction(path, station.distance)) {
        if (wall.size() > 1) sheet.line(std::exchange(wall, {}), "wall");
        wall.clear();
        continue;
      }
      wall.push_back(outermost(station.outlines, sheet.view(), -side * along.y, side * along.x));
    }
    if (wall.size() > 1) sheet.line(std::move(wall), "wall");
  }
}

void add_path(Sheet& sheet, const worker::Path& path) {
  if (has_smooth_walls(path)) add_walls(sheet, path);
  std::vector<PlanePoint> center;
  for (const worker::Station& station : path.stations) center.push_back(sheet.view().flat(station.center));
  sheet.line(std::move(center), "center");
  const std::vector<std::size_t> numbered = numbered_stations(path);
  for (std::size_t i = 0; i < numbered.size(); ++i) {
    const worker::Station& station = path.stations[numbered[i]];
    add_closed(sheet, station.outlines, "section");
    const Seen along = seen(station.tangent, sheet.view());
    if (station.outlines.empty() || along.length < 0.2) continue;
    sheet.label(outermost(station.outlines, sheet.view(), -along.y, along.x), fmt::format("{}", i + 1),
                "number", 0);
  }
  if (path.narrowest.outlines.empty()) return;
  add_closed(sheet, path.narrowest.outlines, "narrow");
  const Seen along = seen(normal_of(path.narrowest.outlines), sheet.view());
  const double down = along.x < 0 ? -1.0 : 1.0;
  const PlanePoint lowest = outermost(path.narrowest.outlines, sheet.view(), down * along.y, -down * along.x);
  sheet.label(lowest, "narrowest", "name", 1);
}

std::string duct_view(const worker::Part& part, const View& view) {
  Sheet sheet(view);
  for (const worker::Opening& opening : part.openings) sheet.shape(opening.outlines, "opening");
  for (const Curve& edge : part.edges) sheet.curve(edge, "outline", false);
  for (const worker::Path& path : part.paths) add_path(sheet, path);
  for (const worker::Opening& opening : part.openings) {
    for (const worker::Blocker& blocker : opening.blocked_by) {
      if (!blocker.covered.empty()) sheet.shape(blocker.covered, "covered");
    }
    const PlanePoint at = view.flat(opening.center);
    const bool right = at.first > 0.5 * (sheet.window().low_x + sheet.window().high_x);
    sheet.label(at, opening.name, "name", right ? -1 : 1);
  }
  if (part.core) add_closed(sheet, part.core->outlines, "core");
  const std::string drawn = sheet.svg(page_width, most_height);
  return drawn.empty() ? "" : fmt::format("<p class=\"view\">{}</p>\n{}", view.name, drawn);
}

void add_points(Window& window, const View& view, const std::vector<Curve>& curves) {
  for (const Curve& curve : curves) {
    for (const Point& point : curve) window.add(view.flat(point));
  }
}

double area_seen(const worker::Part& part, const View& view) {
  Window window;
  for (const worker::Path& path : part.paths) {
    for (const worker::Station& station : path.stations) {
      window.add(view.flat(station.center));
      add_points(window, view, station.outlines);
    }
  }
  for (const worker::Opening& opening : part.openings) add_points(window, view, opening.outlines);
  if (part.core) add_points(window, view, part.core->outlines);
  add_points(window, view, part.edges);
  return window.empty() ? 0 : window.width() * window.height();
}

View sheet_view(const Direction& normal) { return view_against(normal, ""); }

Window window_of(const std::vector<Curve>& outlines, const View& view) {
  Window window;
  add_points(window, view, outlines);
  return window;
}

double largest_side(const Window& window) { return std::max(window.width(), window.height()); }

/// Figures side by side, each with a line of text below.
std::string figure(const std::string& drawn, const std::string& caption) {
  return fmt::format("<figure>{}<figcaption>{}</figcaption></figure>\n", drawn,
                     reports::markup_text(caption));
}

std::string section_figure(const std::vector<Curve>& outlines, const Direction& normal,
                           const std::string& caption, const std::string& style, double scale) {
  Sheet sheet(sheet_view(normal));
  sheet.shape(outlines, style);
  return figure(sheet.svg(0, 0, scale), caption);
}

const worker::Part* part_named(const worker::Measurement& whole, const std::string& name) {
  const auto found = std::find_if(whole.parts.begin(), whole.parts.end(),
                                  [&name](const worker::Part& part) { return part.name == name; });
  return found == whole.parts.end() ? nullptr : &*found;
}

void add_blockers(Sheet& sheet, const worker::Cutout& cutout, const worker::Measurement& whole) {
  for (const worker::Blocker& blocker : cutout.blocked_by) {
    if (const worker::Part* body = part_named(whole, blocker.part)) {
      for (const Curve& edge : body->edges) sheet.curve(edge, "behind", false, false);
    }
    if (!blocker.covered.empty()) sheet.shape(blocker.covered, "covered");
  }
}

/// The names of what stands behind a cut-out, beside the part of it that is covered.
void name_blockers(Sheet& sheet, const worker::Cutout& cutout) {
  for (const worker::Blocker& blocker : cutout.blocked_by) {
    if (blocker.covered.empty()) continue;
    const Window covered = window_of(blocker.covered, sheet.view());
    sheet.label({covered.high_x, covered.low_y},
                fmt::format("{}, gap {} mm", blocker.part, drawn_length(blocker.gap * millimeters)));
  }
}

/// Along the panel one also sees how far a body stands off: its corners behind the panel and no farther away
/// than the cut-out is wide belong to the picture.
void make_room(Sheet& sheet, const worker::Cutout& cutout, const worker::Measurement& whole) {
  const Window panel = sheet.window();
  const double reach = largest_side(window_of(cutout.outlines, sheet.view()));
  for (const worker::Blocker& blocker : cutout.blocked_by) {
    const worker::Part* body = part_named(whole, blocker.part);
    if (body == nullptr) continue;
    for (const Curve& edge : body->edges) {
      for (const Point& corner : edge) {
        const PlanePoint at = sheet.view().flat(corner);
        if (at.first < panel.low_x || at.first > panel.high_x) continue;
        if (at.second > panel.low_y - reach && at.second < panel.high_y + reach) sheet.make_room(at);
      }
    }
  }
}

std::string cutout_figure(const worker::Cutout& cutout, const worker::Measurement& whole, const View& front,
                          const Window& panel, double scale) {
  Sheet sheet(sheet_view(cutout.normal));
  sheet.shape(cutout.outlines, "opening");
  add_blockers(sheet, cutout, whole);
  const Window seen_in_front = window_of(cutout.outlines, front);
  const double right = 0.5 * (seen_in_front.low_x + seen_in_front.high_x) - panel.low_x;
  const double up = 0.5 * (seen_in_front.low_y + seen_in_front.high_y) - panel.low_y;
  return figure(
      sheet.svg(0, 0, scale),
      fmt::format("{}: {} mm, its middle {} mm right of and {} mm above the lower left corner of the first "
                  "view; free {}",
                  cutout.name, sides_text(cutout.outlines, cutout.normal), drawn_length(right),
                  drawn_length(up), units::show(cutout.free_area, Quantity::area)));
}

}  // namespace

std::vector<std::size_t> numbered_stations(const worker::Path& path) {
  constexpr std::size_t most = 11;
  const std::size_t count = path.stations.size();
  std::vector<std::size_t> chosen;
  const std::size_t wanted = std::min(count, most);
  for (std::size_t i = 0; i < wanted; ++i) chosen.push_back(wanted < 2 ? 0 : i * (count - 1) / (wanted - 1));
  return chosen;
}

std::string duct_views(const worker::Part& part) {
  std::array<View, 3> all{view_against({0, -1, 0}, "Seen along y"), view_against({0, 0, 1}, "Seen along z"),
                          view_against({1, 0, 0}, "Seen along x")};
  std::stable_sort(all.begin(), all.end(), [&part](const View& a, const View& b) {
    return area_seen(part, a) > area_seen(part, b) * (1 + 1e-6);
  });
  return duct_view(part, all[0]) + duct_view(part, all[1]);
}

std::string section_gallery(const worker::Path& path) {
  double largest = 0;
  for (const worker::Station& station : path.stations)
    largest = std::max(largest, largest_side(window_of(station.outlines, sheet_view(station.tangent))));
  if (!(largest > 0)) return {};
  const double scale = gallery_cell / largest;
  std::string text = "<div class=\"gallery\">\n";
  const std::vector<std::size_t> numbered = numbered_stations(path);
  for (std::size_t i = 0; i < numbered.size(); ++i) {
    const worker::Station& station = path.stations[numbered[i]];
    if (station.outlines.empty()) continue;
    text += section_figure(station.outlines, station.tangent,
                           fmt::format("{}: {}, at {}", i + 1, units::show(station.area, Quantity::area),
                                       units::show(station.distance, Quantity::length)),
                           "cut", scale);
  }
  if (!path.narrowest.outlines.empty()) {
    text +=
        section_figure(path.narrowest.outlines, normal_of(path.narrowest.outlines),
                       fmt::format("narrowest: {}, at {}", units::show(path.narrowest.area, Quantity::area),
                                   units::show(path.narrowest.distance, Quantity::length)),
                       "cut narrow", scale);
  }
  return text + "</div>\n";
}

std::string panel_views(const worker::Part& panel, const worker::Measurement& whole) {
  if (panel.cutouts.empty()) return {};
  const auto largest = std::max_element(
      panel.cutouts.begin(), panel.cutouts.end(),
      [](const worker::Cutout& a, const worker::Cutout& b) { return a.projected_area < b.projected_area; });
  const View front = view_against(largest->normal, "Seen against the normal of the largest cut-out");
  const View side{front.across, largest->normal, "Seen along the panel"};
  std::string text;
  Window outline;
  for (const View& view : {front, side}) {
    const bool along = view.name == side.name;
    Sheet sheet(view);
    for (const Curve& edge : panel.edges) sheet.curve(edge, "outline", false);
    if (!along) outline = sheet.window();
    for (const worker::Cutout& cutout : panel.cutouts) {
      if (cutout.outlines.empty()) continue;
      sheet.shape(cutout.outlines, "opening");
      if (along) make_room(sheet, cutout, whole);
      add_blockers(sheet, cutout, whole);
      name_blockers(sheet, cutout);
      sheet.label(view.flat(cutout.center), cutout.name, "name", 0);
    }
    if (outline.empty()) outline = sheet.window();  // a panel of too many edges to draw
    const std::string drawn = sheet.svg(page_width, most_height);
    if (!drawn.empty()) text += fmt::format("<p class=\"view\">{}</p>\n{}", view.name, drawn);
  }
  double most = 0;
  for (const worker::Cutout& cutout : panel.cutouts)
    most = std::max(most, largest_side(window_of(cutout.outlines, sheet_view(cutout.normal))));
  if (!(most > 0) || outline.empty()) return text;
  text += "<div class=\"gallery\">\n";
  for (const worker::Cutout& cutout : panel.cutouts)
    text += cutout_figure(cutout, whole, front, outline, 2 * gallery_cell / most);
  return text + "</div>\n";
}

std::string sides_text(const std::vector<Curve>& outlines, const Direction& normal) {
  const Window window = window_of(outlines, sheet_view(normal));
  if (window.empty()) return {};
  return fmt::format("{} x {}", drawn_length(window.width()), drawn_length(window.height()));
}

}  // namespace corefeed::proposal
