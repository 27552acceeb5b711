// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/reports/svg_parts.hpp"

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
  const PlaneScale scale{box.low_x, box.low_y, factor, factor, border, tall - border};
  std::string content;
  for (const Stroke& stroke : strokes) content += svg_stroke(stroke, scale);
  for (const Label& label : labels) {
    const PlanePoint at = scale.at(label.at);
    content += svg_words(at.first, at.second - 6, at.first > 0.6 * width ? "end" : "start", label.text);
  }
  return svg_picture(width, tall, content);
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

std::string page(std::string_view title, std::string_view body) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{0}</title>\n"
      "<style>{1}</style>\n</head>\n<body>\n<h1>{0}</h1>\n{2}</body>\n</html>\n",
      markup_text(title), style_sheet, body);
}

}  // namespace corefeed::reports
