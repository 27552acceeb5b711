// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/svg_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr double row_height = 22;
constexpr double bar_height = 14;
constexpr double axis_height = 40;
constexpr double gap = 8;
constexpr double type_size = 12;

/// Rows of bars over one axis: labels to the left, values and shares to the right.
struct Rows {
  double left = 0;
  double right = 0;   ///< where the bars' room ends
  double values = 0;  ///< where the values end
  double bottom = 0;  ///< y of the axis
  std::vector<double> ticks;

  double x(double value) const {
    return left + (right - left) * (value - ticks.front()) / (ticks.back() - ticks.front());
  }
  static double y(std::size_t row) { return 6 + row_height * static_cast<double>(row); }
};

struct RowText {
  std::string label;
  std::string value;
  std::string share{};
};

Rows rows_for(const std::vector<RowText>& texts, double width, double low, double high) {
  Rows rows;
  double labels = 40;
  double values = 20;
  double shares = 0;
  for (const RowText& text : texts) {
    labels = std::max(labels, svg_text_width(text.label, type_size));
    values = std::max(values, svg_text_width(text.value, type_size));
    shares = std::max(shares, svg_text_width(text.share, type_size));
  }
  rows.left = std::min(labels, 0.45 * width) + gap;
  rows.values = shares > 0 ? width - shares - gap : width;
  rows.right = rows.values - std::min(values, 0.3 * width) - gap;
  rows.bottom = Rows::y(texts.size()) + 2;
  rows.ticks = ticks_between(low, high);
  return rows;
}

std::string frame(const Rows& rows, const std::vector<RowText>& texts, double width,
                  const std::string& axis) {
  std::string content;
  for (const double tick : rows.ticks) {
    content += svg_line(rows.x(tick), 2, rows.x(tick), rows.bottom, tick == 0.0 ? "axis" : "grid");
    content += svg_words(rows.x(tick), rows.bottom + 15, "middle", tick_text(tick), "tick");
  }
  content += svg_words(rows.right, rows.bottom + 32, "end", axis, "tick");
  for (std::size_t i = 0; i < texts.size(); ++i) {
    const double y = Rows::y(i) + 0.5 * row_height + 3;
    content += svg_words(rows.left - gap, y, "end", texts[i].label, "row");
    content += svg_words(rows.values, y, "end", texts[i].value, "row");
    if (!texts[i].share.empty()) content += svg_words(width, y, "end", texts[i].share, "row");
  }
  return content;
}

std::string bar(const Rows& rows, std::size_t row, double from, double to, std::string_view style) {
  const double low = rows.x(std::min(from, to));
  return svg_box(low, Rows::y(row) + 0.5 * (row_height - bar_height), rows.x(std::max(from, to)) - low,
                 bar_height, style);
}

std::string picture_of(const Rows& rows, double width, const std::string& content, const Caption& caption) {
  return svg_picture(width, rows.bottom + axis_height, content, caption);
}

}  // namespace

std::string waterfall(const Waterfall& chart, double width) {
  std::vector<RowText> texts{{chart.start, ""}};
  double low = std::min(0.0, chart.sum);
  double high = std::max(0.0, chart.sum);
  double left = chart.sum;
  double most = 0;
  for (const Waterfall::Step& step : chart.steps) {
    texts.push_back({step.label, step.value, step.share});
    left -= step.taken;
    low = std::min(low, left);
    high = std::max(high, left);
    most = std::max(most, step.taken);
  }
  texts.push_back({chart.end, ""});
  // What rounding leaves below zero asks for no tick of its own.
  if (low > -1e-6 * high) low = 0;
  const Rows rows = rows_for(texts, width, low, high);
  std::string content = frame(rows, texts, width, chart.axis) + bar(rows, 0, 0, chart.sum, "whole");
  left = chart.sum;
  for (std::size_t i = 0; i < chart.steps.size(); ++i) {
    const Waterfall::Step& step = chart.steps[i];
    content += svg_line(rows.x(left), Rows::y(i) + row_height - 4, rows.x(left),
                        Rows::y(i + 1) + row_height - 4, "join");
    const char* style = step.taken < 0 ? "gain" : (step.taken == most ? "taken most" : "taken");
    content += bar(rows, i + 1, left, left - step.taken, style);
    left -= step.taken;
  }
  const std::size_t last = chart.steps.size();
  content += svg_line(rows.x(left), Rows::y(last) + row_height - 4, rows.x(left),
                      Rows::y(last + 1) + row_height - 2, "join");
  return picture_of(rows, width, content, chart.caption);
}

std::string tornado(const Tornado& chart, double width) {
  std::vector<RowText> texts;
  double most = 0;
  for (const Tornado::Bar& one : chart.bars) {
    texts.push_back({one.label, one.value});
    most = std::max(most, std::abs(one.up));
  }
  const Rows rows = rows_for(texts, width, -most, most);
  std::string content = frame(rows, texts, width, chart.axis);
  for (std::size_t i = 0; i < chart.bars.size(); ++i) {
    content += bar(rows, i, 0, chart.bars[i].up, "larger");
    content += bar(rows, i, 0, -chart.bars[i].up, "smaller");
  }
  return picture_of(rows, width, content, chart.caption);
}

}  // namespace corefeed::reports
