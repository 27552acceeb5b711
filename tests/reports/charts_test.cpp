// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/charts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <pugixml.hpp>
#include <set>

namespace corefeed::reports {
namespace {

/// Pictures are XML, so a test can ask for their parts.
class Picture {
 public:
  explicit Picture(const std::string& text) { EXPECT_TRUE(document_.load_string(text.c_str())) << text; }
  pugi::xml_node root() const { return document_.document_element(); }
  std::vector<pugi::xml_node> boxes(const std::string& style) const {
    std::vector<pugi::xml_node> list;
    for (const auto& found : document_.select_nodes(("//rect[@class='" + style + "']").c_str()))
      list.push_back(found.node());
    return list;
  }
  pugi::xml_node words(const std::string& text) const {
    return document_.select_node(("//text[text()='" + text + "']").c_str()).node();
  }

 private:
  pugi::xml_document document_;
};

double left(pugi::xml_node box) { return box.attribute("x").as_double(); }
double right(pugi::xml_node box) { return left(box) + box.attribute("width").as_double(); }

/// What tenths of pixels leave.
constexpr double rounding = 0.11;

Waterfall fan_between() {
  Waterfall chart;
  chart.start = "head";
  chart.end = "left";
  chart.sum = 100;
  chart.steps = {
      {"duct", 60, "60 Pa", "60 %"}, {"fan", -30, "-30 Pa", "-30 %"}, {"vent", 70, "70 Pa", "70 %"}};
  chart.axis = "Pa";
  chart.caption = {"Budget <of> it", "words"};
  return chart;
}

TEST(Charts, EachStepOfAWaterfallBeginsWhereTheLastEnded) {
  const Picture picture(waterfall(fan_between(), 600));
  ASSERT_EQ(picture.boxes("whole").size(), 1u);
  ASSERT_EQ(picture.boxes("taken").size(), 1u);
  ASSERT_EQ(picture.boxes("gain").size(), 1u);
  ASSERT_EQ(picture.boxes("taken most").size(), 1u);
  const auto whole = picture.boxes("whole")[0];
  const auto duct = picture.boxes("taken")[0];
  const auto fan = picture.boxes("gain")[0];
  const auto vent = picture.boxes("taken most")[0];
  const double unit = (right(whole) - left(whole)) / 100;
  EXPECT_NEAR(right(duct), right(whole), rounding);
  EXPECT_NEAR(right(duct) - left(duct), 60 * unit, rounding);
  EXPECT_NEAR(left(fan), left(duct), rounding);
  EXPECT_NEAR(right(fan) - left(fan), 30 * unit, rounding);
  EXPECT_NEAR(right(vent), right(fan), rounding);
  EXPECT_NEAR(left(vent), left(whole), rounding);
}

TEST(Charts, APictureHasANameForThoseWhoDoNotSeeIt) {
  const Picture picture(waterfall(fan_between(), 600));
  EXPECT_STREQ(picture.root().attribute("role").value(), "img");
  EXPECT_STREQ(picture.root().attribute("aria-label").value(), "Budget <of> it");
  EXPECT_STREQ(picture.root().child("title").text().get(), "Budget <of> it");
  EXPECT_STREQ(picture.root().child("desc").text().get(), "words");
}

TEST(Charts, TornadoBarsLieOnTheSideTheyMoveTheValueTo) {
  Tornado chart;
  chart.bars = {{"area", 4, "80 %"}, {"cp", -2, "20 %"}};
  const Picture picture(tornado(chart, 600));
  const auto larger = picture.boxes("larger");
  const auto smaller = picture.boxes("smaller");
  ASSERT_EQ(larger.size(), 2u);
  EXPECT_NEAR(left(larger[0]), right(smaller[0]), rounding);
  EXPECT_NEAR(right(larger[1]), left(smaller[1]), rounding);
  EXPECT_NEAR((right(larger[0]) - left(larger[0])) / (right(larger[1]) - left(larger[1])), 2.0, 0.01);
}

TEST(Charts, CellsShowVerdictByShapeAndPattern) {
  CellMap map;
  map.columns = {"0 deg", "4 deg"};
  map.rows = {"30 mm"};
  map.grids = {{"100 km/h", {{{"1.2", "met", false, false}, {"0.8", "not-met", true, true}}}},
               {"200 km/h", {{{"1.9", "met", false, false}, {"none", "unsolved", false, false}}}}};
  const std::string text = cell_map(map, 1000);
  const Picture picture(text);
  EXPECT_EQ(picture.boxes("cell met").size(), 2u);
  EXPECT_EQ(picture.boxes("cell not-met").size(), 1u);
  EXPECT_EQ(picture.boxes("frame").size(), 1u);
  EXPECT_EQ(text.find("class=\"flag\""), text.rfind("class=\"flag\""));
  EXPECT_NE(text.find("class=\"flag\""), std::string::npos);
  // Side by side where there is room, else one below the other.
  const auto first = picture.words("100 km/h");
  const auto second = picture.words("200 km/h");
  EXPECT_EQ(first.attribute("y").as_double(), second.attribute("y").as_double());
  const Picture narrow(cell_map(map, 150));
  EXPECT_LT(narrow.words("100 km/h").attribute("y").as_double(),
            narrow.words("200 km/h").attribute("y").as_double());
}

TEST(Charts, EveryVerdictHasAShapeOfItsOwn) {
  std::set<std::string> shapes;
  for (const char* style : {"met", "not-met", "too-close", "unsolved"}) {
    const std::string mark = verdict_mark(style, 0, 0, 12);
    shapes.insert(mark.substr(mark.find('>')));
  }
  EXPECT_EQ(shapes.size(), 4u);
}

LineChart two_lines() {
  LineChart chart;
  chart.x_title = "speed";
  chart.y_title = "flow";
  chart.from_zero = false;
  chart.lines = {{{{50, 10}, {100, 12}}, "line series-1", false},
                 {{{50, 11}, {100, 12.1}}, "line series-2", false}};
  chart.names = {"hairpin", "straight"};
  return chart;
}

TEST(Charts, LinesBreakWhereThereIsNoValue) {
  LineChart chart = two_lines();
  chart.lines[0].points = {{50, 10}, {75, std::numeric_limits<double>::quiet_NaN()}, {100, 12}, {110, 12}};
  const std::string text = line_chart(chart, 400, 200);
  constexpr std::string_view begin = "class=\"line series-1\" d=\"";
  const std::size_t at = text.find(begin) + begin.size();
  const std::string path = text.substr(at, text.find("\"/>", at) - at);
  EXPECT_EQ(std::count(path.begin(), path.end(), 'M'), 2) << path;
  EXPECT_EQ(text.find("nan"), std::string::npos);
}

TEST(Charts, NamesAtTheEndsDoNotCoverEachOther) {
  const Picture picture(line_chart(two_lines(), 400, 200));
  EXPECT_GE(picture.words("hairpin").attribute("y").as_double() -
                picture.words("straight").attribute("y").as_double(),
            12.0);
}

/// The words of a limit stand where the lines are far from it.
TEST(Charts, WordsOfALimitKeepClearOfTheLines) {
  LineChart chart = two_lines();
  chart.limits = {{{0, 10.5}, ">= 10.5"}, {{0, 12.5}, "<= 12.5"}};
  const Picture picture(line_chart(chart, 400, 200));
  EXPECT_STREQ(picture.words(">= 10.5").attribute("text-anchor").value(), "end");
  EXPECT_STREQ(picture.words("<= 12.5").attribute("text-anchor").value(), "start");
}

TEST(Charts, WhatLeavesTheAxesIsCutOff) {
  LineChart chart = two_lines();
  chart.most = 11.5;
  const Picture picture(line_chart(chart, 400, 200));
  const pugi::xml_node inner = picture.root().child("svg");
  ASSERT_TRUE(inner);
  EXPECT_EQ(std::distance(inner.children("path").begin(), inner.children("path").end()), 2);
}

}  // namespace
}  // namespace corefeed::reports
