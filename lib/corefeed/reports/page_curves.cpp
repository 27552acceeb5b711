// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/model/document.hpp"
#include "corefeed/reports/json_parts.hpp"
#include "corefeed/reports/page_parts.hpp"
#include "corefeed/reports/svg_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::SpeedCurve;
using studies::SpeedCurves;
using units::Quantity;

constexpr double chart_width = 560;
constexpr double picture_width = 760;
constexpr double chart_height = 260;
constexpr double square_centimeters = 1e4;  // per m2
constexpr double millimeters = 1e3;         // per m

/// What a script draws the chart from again: all lines over one x, gaps as null. `<` cannot close the element
/// that the data stands in.
std::string chart_data(const LineChart& chart) {
  std::vector<Value> x;
  std::vector<Value> lines;
  for (std::size_t i = 0; i < chart.lines.size(); ++i) {
    std::vector<Value> y;
    for (const PlanePoint& point : chart.lines[i].points) {
      if (i == 0) x.push_back(number(point.first));
      y.push_back(number(point.second));
    }
    const std::string name = i < chart.names.size() ? chart.names[i] : chart.y_title;
    lines.push_back(model::make_object({{"name", text(name)}, {"values", model::make_array(std::move(y))}}));
  }
  std::vector<Value> limits;
  for (const Label& limit : chart.limits) {
    limits.push_back(
        model::make_object({{"value", number(limit.at.second)},
                            {"text", text(limit.text)},
                            {"right", model::make_boolean(limit_words_at_right(chart, limit.at.second))}}));
  }
  std::vector<Value> marks;
  for (const Label& mark : chart.marks) {
    marks.push_back(model::make_object({{"x", number(mark.at.first)}, {"y", number(mark.at.second)}}));
  }
  const std::string json =
      model::write_document(model::make_object({{"title", text(chart.caption.title)},
                                                {"x_title", text(chart.x_title)},
                                                {"y_title", text(chart.y_title)},
                                                {"most", number(chart.most)},
                                                {"x", model::make_array(std::move(x))},
                                                {"lines", model::make_array(std::move(lines))},
                                                {"limits", model::make_array(std::move(limits))},
                                                {"marks", model::make_array(std::move(marks))}}));
  std::string safe;
  for (const char c : json) safe += c == '<' ? std::string("\\u003c") : std::string(1, c);
  return safe;
}

double largest(const SpeedCurve& curve) {
  double most = 0;
  for (const double value : curve.values) {
    if (std::isfinite(value)) most = std::max(most, std::abs(value));
  }
  return most;
}

/// Temperatures climb without bound where the air stands still, which would leave the rest flat: the chart
/// ends some way above the points and limits.
double highest_wanted(const LineChart& chart) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const Stroke& line : chart.lines) {
    for (const PlanePoint& point : line.points)
      low = std::min(low, std::isfinite(point.second) ? point.second : low);
  }
  for (const std::vector<Label>* list : {&chart.marks, &chart.limits}) {
    for (const Label& label : *list)
      high = std::max(high, std::isfinite(label.at.second) ? label.at.second : high);
  }
  return high > low ? high + 0.5 * (high - low) : std::numeric_limits<double>::infinity();
}

/// The lines of one quantity, a line for each point whose heat loads and fans it keeps.
LineChart speed_chart(const PageSource& source, std::size_t quantity) {
  const std::vector<SpeedCurves>& curves = source.content.curves;
  const SpeedCurve& first = curves.front().curves[quantity];
  LineChart chart;
  const Shown speed_shown = shown_as(Quantity::speed);
  const Shown shown = shown_as(first.kind, largest(first));
  chart.x_title = axis_title("speed", speed_shown);
  chart.y_title = axis_title(first.quantity, shown);
  chart.from_zero = false;
  chart.caption.title = first.quantity + " over speed";
  for (std::size_t c = 0; c < curves.size(); ++c) {
    const SpeedCurve& curve = curves[c].curves[quantity];
    Stroke line{{}, fmt::format("line series-{}", c + 1), false};
    for (std::size_t i = 0; i < curves[c].speeds.size(); ++i) {
      const double speed = in_unit(curves[c].speeds[i], speed_shown);
      line.points.emplace_back(speed, in_unit(curve.values[i], shown));
      if (curves[c].speeds[i] == curves[c].speed) chart.marks.push_back({line.points.back(), ""});
    }
    chart.lines.push_back(std::move(line));
    chart.names.push_back(curves[c].point);
    chart.caption.description +=
        fmt::format("{}at the loads of {}", c == 0 ? "One line " : ", one ", curves[c].point);
  }
  for (const model::Requirement& requirement : source.model.requirements) {
    if (requirement.quantity != first.quantity) continue;
    chart.limits.push_back({{0, in_unit(requirement.limit, shown)}, limit_words(requirement)});
  }
  if (first.kind == Quantity::temperature) chart.most = highest_wanted(chart);
  return chart;
}

std::string chart_words(const LineChart& chart) {
  std::string words = chart.caption.title;
  for (const Label& limit : chart.limits) words += ", required: " + limit.text;
  return words + ".";
}

bool has_values(const SpeedCurve& curve) {
  for (const double value : curve.values) {
    if (std::isfinite(value)) return true;
  }
  return false;
}

double number_of(const model::Numbers& numbers, std::string_view key) {
  const std::size_t place = losses::find_key(*numbers.kind, key);
  return place == losses::npos || (numbers.given >> place & 1U) == 0 ? 0.0 : numbers.value[place];
}

/// Along the middle of the duct, m; 0 where the piece has none.
double length_of(const model::Numbers& numbers) {
  if (const double length = number_of(numbers, "length"); length > 0) return length;
  return number_of(numbers, "radius") * number_of(numbers, "angle");
}

LineChart area_chart(const model::Element& element) {
  LineChart chart;
  chart.x_title = "distance along the duct, mm";
  chart.y_title = axis_title("area", shown_as(Quantity::area));
  chart.caption.title = "Section area along " + element.name;
  Stroke line{{}, "line series-1", false};
  double distance = 0;
  for (const model::Piece& piece : element.pieces) {
    const double begins = losses::end_area(*piece.numbers.kind, piece.numbers.values(), true);
    const double ends = losses::end_area(*piece.numbers.kind, piece.numbers.values(), false);
    if (!(begins > 0) || !(ends > 0)) continue;
    line.points.emplace_back(distance * millimeters, begins * square_centimeters);
    distance += length_of(piece.numbers);
    line.points.emplace_back(distance * millimeters, ends * square_centimeters);
    chart.caption.description +=
        fmt::format("{}{}: {} to {}", chart.caption.description.empty() ? "" : "; ", piece.name,
                    units::show(begins, Quantity::area, 3), units::show(ends, Quantity::area, 3));
  }
  chart.lines.push_back(std::move(line));
  return chart;
}

std::string pieces_table(const model::Element& element) {
  std::vector<PageRow> rows;
  for (const model::Piece& piece : element.pieces) {
    const model::Numbers& numbers = piece.numbers;
    rows.push_back(
        {cell(piece.name), number_cell(units::show(length_of(numbers), Quantity::length, 3)),
         number_cell(units::show(losses::end_area(*numbers.kind, numbers.values(), true), Quantity::area, 3)),
         number_cell(
             units::show(losses::end_area(*numbers.kind, numbers.values(), false), Quantity::area, 3)),
         cell(piece.reason)});
  }
  return page_table("Pieces of " + element.name,
                    {"piece", "length", "area in", "area out", "begins here because"}, rows);
}

}  // namespace

std::string speed_section(const PageSource& source) {
  const std::vector<SpeedCurves>& curves = source.content.curves;
  if (curves.empty() || curves.front().speeds.size() < 2) return {};
  std::string charts;
  for (std::size_t q = 0; q < curves.front().curves.size(); ++q) {
    bool any = false;
    for (const SpeedCurves& one : curves) any = any || has_values(one.curves[q]);
    if (!any) continue;
    const LineChart chart = speed_chart(source, q);
    charts +=
        page_figure(line_chart(chart, chart_width, chart_height), chart_words(chart), chart_data(chart));
  }
  if (charts.empty()) return {};
  const std::string which = curves.size() < source.study.points.size()
                                ? fmt::format("The {} hardest points that have a solution. ", curves.size())
                                : "";
  return paragraph(
             which +
             "Solved over speed with the heat loads, fans and pressure coefficients of each point named at "
             "the end of its line; the dot is the point itself. A line ends where there is no steady "
             "state.") +
         "<div class=\"pair\">\n" + charts + "</div>\n";
}

std::string sections_section(const PageSource& source) {
  std::string text;
  for (const model::Element& element : source.model.elements) {
    if (element.pieces.empty()) continue;
    const LineChart chart = area_chart(element);
    const std::string from =
        element.geometry
            ? fmt::format(", measured in {}{}", element.geometry->file,
                          element.geometry->part.empty() ? "" : " (" + element.geometry->part + ")")
            : "";
    text += page_figure(line_chart(chart, picture_width, chart_height), element.name + from + ".",
                        chart_data(chart)) +
            pieces_table(element);
  }
  return text;
}

}  // namespace corefeed::reports
