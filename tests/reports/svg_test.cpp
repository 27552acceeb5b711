// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/svg.hpp"

#include <gtest/gtest.h>

namespace corefeed::reports {
namespace {

TEST(Svg, TicksAreRoundAndReachTheTop) {
  EXPECT_EQ(round_ticks(10), (std::vector<double>{0, 2, 4, 6, 8, 10}));
  EXPECT_EQ(round_ticks(0.9), (std::vector<double>{0, 0.2, 0.4, 0.2 * 3, 0.8, 1.0}));
  EXPECT_EQ(round_ticks(11).back(), 15);
  EXPECT_EQ(round_ticks(0), (std::vector<double>{0, 1}));
}

TEST(Svg, TextCannotBecomeMarkup) {
  EXPECT_EQ(markup_text("<a b=\"c\"> & \x01"), "&lt;a b=&quot;c&quot;&gt; &amp;  ");
}

/// A square of 10 in a picture of 100 x 100 with a border of 30 is drawn at 4 px a unit, y upward.
TEST(Svg, DrawingsKeepTheirScale) {
  const std::string svg =
      scale_drawing({{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, "wall", true}}, {{{10, 10}, "tip"}}, 100, 100);
  EXPECT_NE(svg.find("d=\"M30.0 70.0L70.0 70.0L70.0 30.0L30.0 30.0Z\""), std::string::npos) << svg;
  EXPECT_NE(svg.find(">tip</text>"), std::string::npos);
  EXPECT_EQ(scale_drawing({}, {}, 100, 100), "");
}

TEST(Svg, ChartsStartAtZero) {
  LineChart chart;
  chart.x_title = "distance, mm";
  chart.y_title = "area, cm2";
  chart.lines = {{{{0, 40}, {100, 20}}, "line", false}};
  chart.marks = {{{100, 20}, "narrowest"}};
  const std::string svg = line_chart(chart, 275, 164);
  // 200 px for 100 mm, 100 px for 40 cm2.
  EXPECT_NE(svg.find("class=\"line\" d=\"M60.0 24.0L260.0 74.0\""), std::string::npos) << svg;
  EXPECT_NE(svg.find("cx=\"260.0\" cy=\"74.0\""), std::string::npos);
}

}  // namespace
}  // namespace corefeed::reports
