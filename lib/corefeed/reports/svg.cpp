// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace corefeed::reports {
namespace {

constexpr std::string_view style_sheet =
    "body{font:14px/1.4 sans-serif;color:#222;max-width:60em;margin:2em auto;padding:0 1em}"
    "h1{font-size:1.4em}h2{font-size:1.15em;margin-top:2em;border-bottom:1px solid #ccc}"
    "table{border-collapse:collapse;margin:.6em 0}td,th{padding:.15em .8em .15em 0;text-align:left;"
    "vertical-align:top}th{border-bottom:1px solid #999}td.n{text-align:right}"
    "svg{display:block;margin:.6em 0}svg text{font:11px sans-serif;fill:#333}"
    "svg .wall,svg .line{fill:none;stroke:#1f5f99;stroke-width:1.5}"
    "svg .section{fill:none;stroke:#9bbbd6;stroke-width:.8}svg .center{fill:none;stroke:#888;"
    "stroke-width:1;stroke-dasharray:6 3}svg .opening{fill:#e8f1e4;stroke:#3b7d2b;stroke-width:1.8}"
    "svg .core{fill:#f6ead6;stroke:#a8691b;stroke-width:1.5}svg .axis{fill:none;stroke:#444}"
    "svg .grid{fill:none;stroke:#ddd}svg .mark{fill:#b02a2a}"
    "svg .outline{fill:none;stroke:#222;stroke-width:1.2}"
    "svg .behind{fill:none;stroke:#8a4b00;stroke-width:.8;stroke-dasharray:4 2}"
    "svg .covered{fill:#d98a3a;fill-opacity:.35;stroke:#8a4b00;stroke-width:1}"
    "svg .cut{fill:#eaf1f7;stroke:#1f5f99;stroke-width:1.4}svg .narrow{stroke:#b02a2a;stroke-width:1.8}"
    "svg path.narrow:not(.cut){fill:none}svg .dimension{fill:none;stroke:#444;stroke-width:.8}"
    "svg text.name,svg text.number,svg text.size{paint-order:stroke;stroke:#fff;stroke-width:2.5px}"
    "svg .bar{fill:#222}svg .half{fill:#fff;stroke:#222;stroke-width:.6}svg text.number{font-weight:bold}"
    ".gallery{display:flex;flex-wrap:wrap}figure{margin:.4em 1em .4em 0;break-inside:avoid}"
    "figcaption{font-size:.85em;padding-left:64px;max-width:26em}.view{margin-bottom:0;font-weight:bold}"
    ".warning{color:#8a4b00}@media print{h2{break-after:avoid}svg{break-inside:avoid}}";

/// From plane to page.
struct Scale {
  double x0 = 0;
  double y0 = 0;
  double x = 1;  ///< px per unit
  double y = 1;
  double left = 0;
  double bottom = 0;

  PlanePoint at(const PlanePoint& p) const {
    return {left + (p.first - x0) * x, bottom - (p.second - y0) * y};
  }
};

std::string path_text(const Stroke& stroke, const Scale& scale) {
  std::string path;
  for (const PlanePoint& point : stroke.points) {
    const PlanePoint at = scale.at(point);
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", at.first, at.second);
  }
  return fmt::format("<path class=\"{}\" d=\"{}{}\"/>", markup_text(stroke.style), path,
                     stroke.closed ? "Z" : "");
}

std::string words(double x, double y, std::string_view anchor, std::string_view text) {
  return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>", x, y, anchor,
                     markup_text(text));
}

std::string picture(double width, double height, const std::string& content) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" "
      "height=\"{1:.0f}\">{2}</svg>\n",
      width, height, content);
}

struct Box {
  double low_x = std::numeric_limits<double>::infinity();
  double high_x = -low_x;
  double low_y = low_x;
  double high_y = -low_x;

  void add(const PlanePoint& p) {
    low_x = std::min(low_x, p.first);
    high_x = std::max(high_x, p.first);
    low_y = std::min(low_y, p.second);
    high_y = std::max(high_y, p.second);
  }
};

}  // namespace

std::string markup_text(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      default:
        // Control characters have no place in a page.
        result += static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t' ? ' ' : c;
    }
  }
  return result;
}

std::string scale_drawing(const std::vector<Stroke>& strokes, const std::vector<Label>& labels, double width,
                          double height) {
  constexpr double border = 30;  // px, for the labels
  Box box;
  for (const Stroke& stroke : strokes) {
    for (const PlanePoint& point : stroke.points) box.add(point);
  }
  const double across = box.high_x - box.low_x;
  const double up = box.high_y - box.low_y;
  const double extent = std::max(across, up);
  if (!std::isfinite(extent) || !(extent > 0)) return {};
  const auto fit = [](double room, double size) {
    return size > 0 ? room / size : std::numeric_limits<double>::infinity();
  };
  const double factor = std::min(fit(width - 2 * border, across), fit(height - 2 * border, up));
  const double tall = up * factor + 2 * border;
  const Scale scale{box.low_x, box.low_y, factor, factor, border, tall - border};
  std::string content;
  for (const Stroke& stroke : strokes) content += path_text(stroke, scale);
  for (const Label& label : labels) {
    const PlanePoint at = scale.at(label.at);
    content += words(at.first, at.second - 6, at.first > 0.6 * width ? "end" : "start", label.text);
  }
  return picture(width, tall, content);
}

std::vector<double> round_ticks(double most) {
  if (!(most > 0) || !std::isfinite(most)) return {0, 1};
  const double rough = most / 5;
  const double power = std::pow(10, std::floor(std::log10(rough)));
  double step = 10 * power;
  for (const double factor : {5.0, 2.0, 1.0}) {
    if (factor * power >= rough * (1 - 1e-9)) step = factor * power;
  }
  std::vector<double> ticks;
  for (int i = 0; i == 0 || ticks.back() < most * (1 - 1e-9); ++i) ticks.push_back(i * step);
  return ticks;
}

std::string line_chart(const LineChart& chart, double width, double height) {
  double most_x = 0;
  double most_y = 0;
  for (const Stroke& line : chart.lines) {
    for (const auto& [x, y] : line.points) {
      most_x = std::max(most_x, x);
      most_y = std::max(most_y, y);
    }
  }
  const std::vector<double> x_ticks = round_ticks(most_x);
  const std::vector<double> y_ticks = round_ticks(most_y);
  constexpr double left = 60;
  constexpr double right = 15;
  constexpr double top = 24;
  constexpr double bottom = 40;
  const Scale scale{0,
                    0,
                    (width - left - right) / x_ticks.back(),
                    (height - top - bottom) / y_ticks.back(),
                    left,
                    height - bottom};
  std::string content;
  for (const double y : y_ticks) {
    content += path_text({{{0, y}, {x_ticks.back(), y}}, "grid"}, scale);
    content += words(left - 6, scale.at({0, y}).second + 4, "end", fmt::format("{:g}", y));
  }
  for (const double x : x_ticks)
    content += words(scale.at({x, 0}).first, height - bottom + 16, "middle", fmt::format("{:g}", x));
  content += path_text({{{0, y_ticks.back()}, {0, 0}, {x_ticks.back(), 0}}, "axis"}, scale);
  content += words(left, 14, "start", chart.y_title) + words(width - right, height - 8, "end", chart.x_title);
  for (const Stroke& line : chart.lines) content += path_text(line, scale);
  for (const Label& mark : chart.marks) {
    const PlanePoint at = scale.at(mark.at);
    content +=
        fmt::format("<circle class=\"mark\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.5\"/>", at.first, at.second);
    content += words(at.first, at.second - 8, at.first > 0.7 * width ? "end" : "start", mark.text);
  }
  return picture(width, height, content);
}

std::string page(std::string_view title, std::string_view body) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{0}</title>\n"
      "<style>{1}</style>\n</head>\n<body>\n<h1>{0}</h1>\n{2}</body>\n</html>\n",
      markup_text(title), style_sheet, body);
}

}  // namespace corefeed::reports
