// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/drawing_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace corefeed::proposal {
namespace {

using reports::PlanePoint;
using worker::Direction;
using worker::Point;

constexpr double millimeters = 1e3;  // per m
constexpr double left = 64;          // px, for the height's dimension
constexpr double top = 22;
constexpr double right = 24;
constexpr double bottom = 62;  // for the width's dimension and the bar

double dot(const Direction& a, const Direction& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

Direction cross(const Direction& a, const Direction& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

Direction unit(const Direction& a) {
  const double length = std::sqrt(dot(a, a));
  return {a[0] / length, a[1] / length, a[2] / length};
}

/// From the plane to the picture, y downward.
struct Scale {
  double factor = 1;  ///< px per mm
  double x0 = 0;
  double y1 = 0;

  PlanePoint at(const PlanePoint& p) const {
    return {left + (p.first - x0) * factor, top + (y1 - p.second) * factor};
  }
};

std::string segment(double x1, double y1, double x2, double y2, std::string_view style) {
  return fmt::format("<path class=\"{}\" d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\"/>", style, x1, y1, x2, y2);
}

std::string word(double x, double y, std::string_view style, std::string_view anchor, std::string_view text,
                 std::string_view more = "") {
  return fmt::format("<text class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\"{}>{}</text>", style, x,
                     y, anchor, more, reports::markup_text(text));
}

/// A line between two ticks with a length beside it.
std::string dimension(double x1, double y1, double x2, double y2, const std::string& text) {
  constexpr double tick = 4;
  const bool level = y1 == y2;
  const double dx = level ? 0 : tick;
  const double dy = level ? tick : 0;
  std::string drawn = segment(x1, y1, x2, y2, "dimension") +
                      segment(x1 - dx, y1 - dy, x1 + dx, y1 + dy, "dimension") +
                      segment(x2 - dx, y2 - dy, x2 + dx, y2 + dy, "dimension");
  const double x = 0.5 * (x1 + x2);
  const double y = 0.5 * (y1 + y2);
  if (level) return drawn + word(x, y - 4, "size", "middle", text);
  if (std::abs(y2 - y1) < 6.0 * static_cast<double>(text.size()))
    return drawn + word(x - 7, y + 4, "size", "end", text);
  return drawn + word(x - 5, y, "size", "middle", text,
                      fmt::format(" transform=\"rotate(-90 {:.1f} {:.1f})\"", x - 5, y));
}

/// 1, 2 or 5 times a power of ten, at most `most`.
double round_length(double most) {
  const double power = std::pow(10, std::floor(std::log10(most)));
  for (const double factor : {5.0, 2.0}) {
    if (factor * power <= most) return factor * power;
  }
  return power;
}

std::string bar(double x, double y, double factor, double most_px) {
  const double length = round_length(most_px / factor);
  const double px = length * factor;
  return fmt::format("<rect class=\"bar\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"4\"/>", x, y,
                     px) +
         fmt::format("<rect class=\"half\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"4\"/>",
                     x + px / 2, y, px / 2) +
         word(x + px + 6, y + 5, "size", "start", drawn_length(length) + " mm");
}

}  // namespace

PlanePoint View::flat(const Point& point) const {
  return {dot(across, point) * millimeters, dot(up, point) * millimeters};
}

View view_against(const Direction& toward_viewer, std::string name) {
  const Direction toward = unit(toward_viewer);
  constexpr double nearly_along = 0.9;
  const Direction vertical = std::abs(toward[2]) < nearly_along ? Direction{0, 0, 1} : Direction{0, 1, 0};
  const double along = dot(vertical, toward);
  const Direction up = unit(
      {vertical[0] - along * toward[0], vertical[1] - along * toward[1], vertical[2] - along * toward[2]});
  return {cross(up, toward), up, std::move(name)};
}

void Window::add(const PlanePoint& point) {
  low_x = std::min(low_x, point.first);
  high_x = std::max(high_x, point.first);
  low_y = std::min(low_y, point.second);
  high_y = std::max(high_y, point.second);
}

void Sheet::curve(const worker::Curve& curve, std::string_view style, bool closed, bool measured) {
  Item item{{{}}, std::string(style), closed};
  for (const Point& point : curve) {
    item.curves.front().push_back(view_.flat(point));
    if (measured) window_.add(item.curves.front().back());
  }
  items_.push_back(std::move(item));
}

void Sheet::shape(const std::vector<worker::Curve>& curves, std::string_view style) {
  Item item{{}, std::string(style), true};
  for (const worker::Curve& curve : curves) {
    item.curves.emplace_back();
    for (const Point& point : curve) {
      item.curves.back().push_back(view_.flat(point));
      window_.add(item.curves.back().back());
    }
  }
  items_.push_back(std::move(item));
}

void Sheet::line(std::vector<PlanePoint> points, std::string_view style) {
  for (const PlanePoint& point : points) window_.add(point);
  items_.push_back({{std::move(points)}, std::string(style), false});
}

void Sheet::label(const PlanePoint& at, std::string text, std::string_view style, int side) {
  words_.push_back({at, std::move(text), std::string(style), side});
}

std::string Sheet::svg(double width, double most_height, double scale) const {
  if (window_.empty() || !(std::max(window_.width(), window_.height()) > 0)) return {};
  const auto fit = [](double room, double size) {
    return size > 0 ? room / size : std::numeric_limits<double>::infinity();
  };
  Scale to{scale, window_.low_x, window_.high_y};
  if (!(scale > 0))
    to.factor = std::min(fit(width - left - right, window_.width()),
                         fit(most_height - top - bottom, window_.height()));
  const double wide = window_.width() * to.factor;
  const double tall = window_.height() * to.factor;
  std::string content;
  for (const Item& item : items_) {
    std::string path;
    for (const std::vector<PlanePoint>& curve : item.curves) {
      for (std::size_t i = 0; i < curve.size(); ++i) {
        const PlanePoint at = to.at(curve[i]);
        path += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", at.first, at.second);
      }
      if (item.closed) path += "Z";
    }
    content += fmt::format("<path class=\"{}\" fill-rule=\"evenodd\" d=\"{}\"/>", item.style, path);
  }
  // What lies outside the window (the rest of a rail) is cut off a little beyond it.
  const std::string clipped = fmt::format(
      "<svg x=\"0\" y=\"0\" width=\"{0:.1f}\" height=\"{1:.1f}\" viewBox=\"0 0 {0:.1f} {1:.1f}\">{2}</svg>",
      left + wide + right, top + tall + 8, content);
  std::string text;
  for (const Word& each : words_) {
    const PlanePoint at = to.at(each.at);
    const double shift = 5.0 * each.side;
    text += word(at.first + shift, at.second - 3, each.style,
                 each.side < 0 ? "end" : (each.side > 0 ? "start" : "middle"), each.text);
  }
  const double below = top + tall + 26;
  text += dimension(left, below, left + wide, below, drawn_length(window_.width()));
  text += dimension(left - 26, top, left - 26, top + tall, drawn_length(window_.height()));
  text += bar(left, below + 16, to.factor, std::max(0.3 * wide, 40.0));
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" "
      "height=\"{1:.0f}\">{2}{3}</svg>\n",
      std::max(left + wide + right, left + 130), top + tall + bottom, clipped, text);
}

std::string drawn_length(double millimeters_) {
  const double tenths = std::round(millimeters_ * 10) / 10;
  return std::abs(tenths - std::round(tenths)) < 0.05 ? fmt::format("{:.0f}", tenths)
                                                      : fmt::format("{:.1f}", tenths);
}

}  // namespace corefeed::proposal
