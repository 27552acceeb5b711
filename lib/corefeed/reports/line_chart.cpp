// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/reports/svg_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr double left = 60;
constexpr double top = 24;
constexpr double bottom = 40;
constexpr double line_height = 13;
constexpr double sample = 24;  ///< of a line, before its name

struct Extent {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  void add(double value) {
    if (!std::isfinite(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

std::vector<double> ticks_of(const Extent& extent, bool from_zero) {
  return from_zero ? round_ticks(extent.high) : ticks_between(extent.low, extent.high);
}

/// Names stand beside the last point of their lines, pushed apart where lines end close together.
struct EndName {
  double y;
  std::string text;
  std::string style;
};

std::vector<EndName> end_names(const LineChart& chart, const PlaneScale& scale) {
  std::vector<EndName> ends;
  for (std::size_t i = 0; i < std::min(chart.names.size(), chart.lines.size()); ++i) {
    double y = std::numeric_limits<double>::quiet_NaN();
    for (const PlanePoint& point : chart.lines[i].points) {
      if (std::isfinite(point.second)) y = scale.at(point).second;
    }
    y = std::max(y, top);
    if (std::isfinite(y)) ends.push_back({y, chart.names[i], chart.lines[i].style});
  }
  std::stable_sort(ends.begin(), ends.end(), [](const EndName& a, const EndName& b) { return a.y < b.y; });
  for (std::size_t i = 1; i < ends.size(); ++i) ends[i].y = std::max(ends[i].y, ends[i - 1].y + line_height);
  // Not below the axis: the lowest is pushed back, and those above it in turn.
  double floor = scale.bottom;
  for (std::size_t i = ends.size(); i-- > 0; floor = ends[i].y - line_height)
    ends[i].y = std::min(ends[i].y, floor);
  return ends;
}

double room_for_names(const LineChart& chart) {
  double widest = 0;
  for (const std::string& name : chart.names) widest = std::max(widest, svg_text_width(name));
  return widest > 0 ? widest + sample + 14 : 15;
}

/// A picture within the picture cuts off what leaves the axes.
std::string lines_text(const LineChart& chart, const PlaneScale& scale, double width, double height) {
  std::string content;
  for (const Stroke& line : chart.lines) content += svg_stroke(line, scale);
  if (!std::isfinite(chart.most)) return content;
  return fmt::format(
      "<svg x=\"{0}\" y=\"{1}\" width=\"{2:.1f}\" height=\"{3:.1f}\" viewBox=\"{0} {1} {2:.1f} "
      "{3:.1f}\">{4}</svg>",
      left, top, width, height, content);
}

std::string marks_text(const LineChart& chart, const PlaneScale& scale, double width) {
  std::string content;
  for (const Label& mark : chart.marks) {
    const PlanePoint at = scale.at(mark.at);
    if (!std::isfinite(at.first) || !std::isfinite(at.second)) continue;
    content +=
        fmt::format("<circle class=\"mark\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.5\"/>", at.first, at.second);
    if (mark.text.empty()) continue;
    content +=
        svg_words(at.first, at.second - 8, at.first > 0.7 * width ? "end" : "start", mark.text, "name");
  }
  return content;
}

}  // namespace

bool limit_words_at_right(const LineChart& chart, double limit) {
  double at_left = std::numeric_limits<double>::infinity();
  double at_right = at_left;
  for (const Stroke& line : chart.lines) {
    bool begun = false;
    double last = at_left;
    for (const PlanePoint& point : line.points) {
      if (!std::isfinite(point.second)) continue;
      last = std::abs(std::min(point.second, chart.most) - limit);
      if (!begun) at_left = std::min(at_left, last);
      begun = true;
    }
    if (begun) at_right = std::min(at_right, last);
  }
  return at_left < at_right;
}

std::string line_chart(const LineChart& chart, double width, double height) {
  Extent x_extent;
  Extent y_extent;
  for (const Stroke& line : chart.lines) {
    for (const auto& [x, y] : line.points) {
      x_extent.add(x);
      y_extent.add(std::min(y, chart.most));
    }
  }
  for (const Label& limit : chart.limits) y_extent.add(limit.at.second);
  const std::vector<double> x_ticks = ticks_of(x_extent, chart.from_zero);
  const std::vector<double> y_ticks = ticks_of(y_extent, chart.from_zero);
  const double right = room_for_names(chart);
  const PlaneScale scale{x_ticks.front(),
                         y_ticks.front(),
                         (width - left - right) / (x_ticks.back() - x_ticks.front()),
                         (height - top - bottom) / (y_ticks.back() - y_ticks.front()),
                         left,
                         height - bottom};
  std::string content;
  for (const double y : y_ticks) {
    content += svg_stroke({{{x_ticks.front(), y}, {x_ticks.back(), y}}, "grid"}, scale);
    content += svg_words(left - 6, scale.at({x_ticks.front(), y}).second + 4, "end", tick_text(y));
  }
  for (const double x : x_ticks)
    content += svg_words(scale.at({x, y_ticks.front()}).first, height - bottom + 16, "middle", tick_text(x));
  content += svg_stroke({{{x_ticks.front(), y_ticks.back()},
                          {x_ticks.front(), y_ticks.front()},
                          {x_ticks.back(), y_ticks.front()}},
                         "axis"},
                        scale);
  content += svg_words(left, 14, "start", chart.y_title) +
             svg_words(width - right, height - 8, "end", chart.x_title);
  for (const Label& limit : chart.limits) {
    const double y = limit.at.second;
    content += svg_stroke({{{x_ticks.front(), y}, {x_ticks.back(), y}}, "limit"}, scale);
    const bool at_right = limit_words_at_right(chart, y);
    content += svg_words(at_right ? width - right - 4 : left + 4, scale.at({x_ticks.front(), y}).second - 4,
                         at_right ? "end" : "start", limit.text, "name limit");
  }
  content += lines_text(chart, scale, width - left - right, height - top - bottom);
  for (const EndName& end : end_names(chart, scale)) {
    content += svg_line(width - right + 6, end.y, width - right + 6 + sample, end.y, end.style);
    content += svg_words(width - right + 10 + sample, end.y + 4, "start", end.text);
  }
  return svg_picture(width, height, content + marks_text(chart, scale, width), chart.caption);
}

}  // namespace corefeed::reports
