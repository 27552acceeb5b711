// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/svg_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace corefeed::reports {
namespace {

std::string class_text(std::string_view style) {
  return style.empty() ? "" : fmt::format(" class=\"{}\"", markup_text(style));
}

}  // namespace

std::string svg_words(double x, double y, std::string_view anchor, std::string_view text,
                      std::string_view style) {
  return fmt::format("<text{} x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>", class_text(style), x,
                     y, anchor, markup_text(text));
}

std::string svg_box(double x, double y, double width, double height, std::string_view style) {
  return fmt::format("<rect{} x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"/>",
                     class_text(style), x, y, std::max(width, 0.0), std::max(height, 0.0));
}

std::string svg_line(double x1, double y1, double x2, double y2, std::string_view style) {
  return fmt::format("<path{} d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\"/>", class_text(style), x1, y1, x2, y2);
}

std::string svg_stroke(const Stroke& stroke, const PlaneScale& scale) {
  std::string path;
  bool drawing = false;
  for (const PlanePoint& point : stroke.points) {
    const PlanePoint at = scale.at(point);
    const bool stands = std::isfinite(at.first) && std::isfinite(at.second);
    if (stands) path += fmt::format("{}{:.1f} {:.1f}", drawing ? "L" : "M", at.first, at.second);
    drawing = stands;
  }
  if (path.empty()) return {};
  return fmt::format("<path class=\"{}\" d=\"{}{}\"/>", markup_text(stroke.style), path,
                     stroke.closed ? "Z" : "");
}

std::string svg_picture(double width, double height, const std::string& content, const Caption& caption) {
  std::string name;
  std::string words;
  if (!caption.title.empty()) {
    name = fmt::format(" role=\"img\" aria-label=\"{}\"", markup_text(caption.title));
    words = fmt::format("<title>{}</title><desc>{}</desc>", markup_text(caption.title),
                        markup_text(caption.description));
  }
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" "
      "height=\"{1:.0f}\"{2}>{3}{4}</svg>\n",
      width, height, name, words, content);
}

double svg_text_width(std::string_view text, double size) {
  const auto bytes_of_characters = std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; });
  constexpr double widest_usual = 0.6;  // of the size: a sans serif's mean is about 0.52
  return widest_usual * size * static_cast<double>(bytes_of_characters);
}

std::vector<double> ticks_between(double low, double high, int count) {
  if (!std::isfinite(low) || !std::isfinite(high)) return {0, 1};
  // A flat line stands in the middle of an axis.
  const double least = std::max(1e-3 * std::max(std::abs(low), std::abs(high)), 1e-9);
  if (high - low < least) {
    low -= 0.5 * least;
    high += 0.5 * least;
  }
  const double rough = (high - low) / count;
  const double power = std::pow(10, std::floor(std::log10(rough)));
  double step = 10 * power;
  for (const double factor : {5.0, 2.0, 1.0}) {
    if (factor * power >= rough * (1 - 1e-9)) step = factor * power;
  }
  const double first = std::floor(low / step + 1e-9);
  const double last = std::ceil(high / step - 1e-9);
  const int steps = static_cast<int>(last - first);
  std::vector<double> ticks;
  for (int i = 0; i <= steps; ++i) ticks.push_back((first + i) * step);
  return ticks;
}

std::string tick_text(double tick) { return fmt::format("{:.6g}", tick == 0.0 ? 0.0 : tick); }

}  // namespace corefeed::reports
