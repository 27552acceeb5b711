// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/svg_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr double cell_height = 34;
constexpr double between = 24;
constexpr double title_height = 22;
constexpr double axis_height = 40;

/// Where the grids stand: as many side by side as the width takes.
struct Places {
  double cell_width = 0;
  double rows_width = 0;  ///< of the labels of the rows
  double grid_width = 0;
  double grid_height = 0;
  std::size_t side_by_side = 1;
};

Places places_of(const CellMap& chart, double width) {
  Places places;
  for (const CellMap::Grid& grid : chart.grids) {
    for (const auto& row : grid.rows) {
      for (const CellMap::Cell& cell : row)
        places.cell_width = std::max(places.cell_width, svg_text_width(cell.text, 12) + 26);
    }
    places.grid_width = std::max(places.grid_width, svg_text_width(grid.title, 12));
  }
  for (const std::string& column : chart.columns)
    places.cell_width = std::max(places.cell_width, svg_text_width(column) + 8);
  places.rows_width = svg_text_width(chart.down) + 4;
  for (const std::string& row : chart.rows)
    places.rows_width = std::max(places.rows_width, svg_text_width(row) + 10);
  places.grid_width =
      std::max({places.grid_width, svg_text_width(chart.across) + places.rows_width,
                places.rows_width + places.cell_width * static_cast<double>(chart.columns.size())});
  places.grid_height = title_height + cell_height * static_cast<double>(chart.rows.size()) + axis_height;
  const double fit = std::floor((width + between) / (places.grid_width + between));
  places.side_by_side = std::max<std::size_t>(1, static_cast<std::size_t>(std::max(fit, 1.0)));
  return places;
}

std::string cell_text(const CellMap::Cell& cell, double x, double y, double width) {
  std::string content = svg_box(x, y, width, cell_height, "cell " + cell.style);
  if (cell.framed) content += svg_box(x + 2, y + 2, width - 4, cell_height - 4, "frame");
  content += verdict_mark(cell.style, x + 5, y + 0.5 * cell_height - 6, 12);
  content += svg_words(x + 20, y + 0.5 * cell_height + 4, "start", cell.text, "value");
  if (cell.flagged) {
    content += fmt::format("<path class=\"flag\" d=\"M{0:.1f} {1:.1f}h-11l11 11z\"/>", x + width, y);
  }
  return content;
}

std::string grid_text(const CellMap& chart, const CellMap::Grid& grid, const Places& places, double x,
                      double y) {
  std::string content = svg_words(x, y + 14, "start", grid.title, "title");
  const double top = y + title_height;
  for (std::size_t r = 0; r < chart.rows.size(); ++r) {
    const double row = top + cell_height * static_cast<double>(r);
    content += svg_words(x + places.rows_width - 6, row + 0.5 * cell_height + 4, "end", chart.rows[r]);
    for (std::size_t c = 0; c < chart.columns.size(); ++c) {
      const double left = x + places.rows_width + places.cell_width * static_cast<double>(c);
      content += cell_text(grid.rows[r][c], left, row, places.cell_width);
    }
  }
  const double bottom = top + cell_height * static_cast<double>(chart.rows.size());
  for (std::size_t c = 0; c < chart.columns.size(); ++c) {
    const double middle = x + places.rows_width + places.cell_width * (static_cast<double>(c) + 0.5);
    content += svg_words(middle, bottom + 14, "middle", chart.columns[c]);
  }
  if (!chart.down.empty()) content += svg_words(x, bottom + 14, "start", chart.down);
  if (!chart.across.empty()) content += svg_words(x + places.rows_width, bottom + 29, "start", chart.across);
  return content;
}

}  // namespace

std::string cell_map(const CellMap& chart, double width) {
  const Places places = places_of(chart, width);
  std::string content;
  for (std::size_t i = 0; i < chart.grids.size(); ++i) {
    const double column = static_cast<double>(i % places.side_by_side);
    const std::size_t row = i / places.side_by_side;
    content += grid_text(chart, chart.grids[i], places, column * (places.grid_width + between),
                         static_cast<double>(row) * places.grid_height);
  }
  const std::size_t across = std::min(places.side_by_side, std::max<std::size_t>(1, chart.grids.size()));
  const std::size_t down = (chart.grids.size() + places.side_by_side - 1) / places.side_by_side;
  return svg_picture(static_cast<double>(across) * (places.grid_width + between) - between,
                     static_cast<double>(down) * places.grid_height, content, chart.caption);
}

std::string chart_patterns() {
  const auto stripes = [](const char* id, const char* ground, const char* line, int angle) {
    return fmt::format(
        "<pattern id=\"{}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate({})\"><rect width=\"6\" height=\"6\" fill=\"{}\"/>"
        "<path d=\"M0 0V6\" stroke=\"{}\" stroke-width=\"2.2\"/></pattern>",
        id, angle, ground, line);
  };
  return "<svg width=\"0\" height=\"0\" class=\"patterns\" aria-hidden=\"true\" focusable=\"false\"><defs>" +
         stripes("stripes", "#fff", "#f0b48a", 45) + stripes("gain-stripes", "#d9efe6", "#009e73", -45) +
         stripes("most-stripes", "#d55e00", "#ef9a5a", 45) + stripes("small-stripes", "#fff", "#e69f00", 45) +
         "<pattern id=\"dots\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><rect width=\"7\" "
         "height=\"7\" fill=\"#fff\"/><circle cx=\"3.5\" cy=\"3.5\" r=\"1.3\" fill=\"#d9b100\"/></pattern>"
         "<pattern id=\"cross\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><rect width=\"7\" "
         "height=\"7\" fill=\"#fff\"/><path d=\"M0 0L7 7M7 0L0 7\" stroke=\"#b5b5b5\"/></pattern>"
         "</defs></svg>\n";
}

std::string verdict_mark(std::string_view style, double x, double y, double size) {
  std::string shape;
  if (style == "met") {
    shape = "<circle cx=\"6\" cy=\"6\" r=\"6\"/><path class=\"sign\" d=\"M3 6.2L5.2 8.5L9 3.8\"/>";
  } else if (style == "not-met") {
    shape = "<path d=\"M0 0H12V12H0Z\"/><path class=\"sign\" d=\"M3 3L9 9M9 3L3 9\"/>";
  } else if (style == "too-close") {
    shape = "<path d=\"M6 0L12 12H0Z\"/><path class=\"sign\" d=\"M6 4.5V8M6 9.4V10.6\"/>";
  } else {
    shape = "<path d=\"M6 0L12 6L6 12L0 6Z\"/><path class=\"sign\" d=\"M3.5 6H8.5\"/>";
  }
  return fmt::format(
      "<g class=\"verdict-mark {}\" transform=\"translate({:.1f} {:.1f}) scale({:.3f})\">{}</g>",
      markup_text(style), x, y, size / 12, shape);
}

}  // namespace corefeed::reports
