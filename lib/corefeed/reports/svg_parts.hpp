// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "corefeed/reports/svg.hpp"

/// What every picture is put together from. Private to the room. Lengths in px, y downward.
namespace corefeed::reports {

/// Classes are the style sheet's; none where empty.
std::string svg_words(double x, double y, std::string_view anchor, std::string_view text,
                      std::string_view style = {});
std::string svg_box(double x, double y, double width, double height, std::string_view style);
std::string svg_line(double x1, double y1, double x2, double y2, std::string_view style);

/// From plane to page.
struct PlaneScale {
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

/// A line is broken where a point is not finite.
std::string svg_stroke(const Stroke& stroke, const PlaneScale& scale);

/// The whole: a picture with a name for those who do not see it, or a drawing without one.
std::string svg_picture(double width, double height, const std::string& content, const Caption& caption = {});

/// About how wide words are in the page's type, which is not known here: on the safe side.
double svg_text_width(std::string_view text, double size = 11);

/// Whether a limit's words stand better at the right end of its line: the chart's own lines begin closer to
/// it than they end.
bool limit_words_at_right(const LineChart& chart, double limit);

/// Round ticks at least `count` or so that reach from below `low` to above `high`.
std::vector<double> ticks_between(double low, double high, int count = 5);

/// A tick as its axis shows it.
std::string tick_text(double tick);

}  // namespace corefeed::reports
