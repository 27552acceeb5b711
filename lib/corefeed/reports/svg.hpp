// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <limits>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

/// Static pictures for pages: SVG that reads on paper and without scripts. Colors and fonts are the page's,
/// by class.
namespace corefeed::reports {

/// Text fit to stand in HTML or SVG, between tags or in an attribute.
std::string markup_text(std::string_view text);

using PlanePoint = std::pair<double, double>;

/// A picture in words: what it shows, and what stands in it.
struct Caption {
  std::string title;
  std::string description;
};

/// A line or outline in a plane, y upward.
struct Stroke {
  std::vector<PlanePoint> points;
  std::string style;  ///< class
  bool closed = false;
};

/// A word at a point of the plane.
struct Label {
  PlanePoint at;
  std::string text;
};

/// A drawing to scale, as large as fits `width` x `height` (px). Empty where nothing has an extent.
std::string scale_drawing(const std::vector<Stroke>& strokes, const std::vector<Label>& labels, double width,
                          double height);

/// A line chart with round ticks.
struct LineChart {
  std::string x_title;  ///< with its unit
  std::string y_title;
  std::vector<Stroke> lines;       ///< broken where a point is not finite
  std::vector<Label> marks;        ///< a dot with its text
  std::vector<std::string> names;  ///< of the lines, at their right ends; none where empty
  std::vector<Label> limits;       ///< level lines at y with their text
  bool from_zero = true;           ///< both axes; else each begins below its lowest value
  double most = std::numeric_limits<double>::infinity();  ///< y beyond which lines leave the picture
  Caption caption;
};
std::string line_chart(const LineChart& chart, double width, double height);

/// Ticks from 0 to at least `most`: 1, 2 or 5 times a power of ten apart, five or so.
std::vector<double> round_ticks(double most);

/// The style sheet that gives these classes their looks, and a whole page round a body: no script, no file
/// from elsewhere.
std::string page(std::string_view title, std::string_view body);

}  // namespace corefeed::reports
