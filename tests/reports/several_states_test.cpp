// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include "corefeed/reports/findings.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/page.hpp"
#include "corefeed/reports/text.hpp"
#include "tests/reports/small_study.hpp"
#include "tests/support/stalling_fan.hpp"

/// What is told of a point with several states: all of them, and no verdict, because one on any of them would
/// be a guess (docs/solver.md).
namespace corefeed::reports {
namespace {

using corefeed::testing::stalling_document;

bool holds_words(const std::string& text, std::string_view words) {
  return text.find(words) != std::string::npos;
}

TEST(SeveralStates, SolveShowsEachAndWhetherItStays) {
  const testing::Solved one = testing::solved(stalling_document().dump());
  const std::string text = solve_text(one.model, one.study);
  EXPECT_TRUE(holds_words(text, "3 operating points found, 2 of them stable; not proved to be all")) << text;
  std::size_t from = 0;
  for (int state = 1; state <= 3; ++state) {
    const std::size_t at = text.find(fmt::format("operating point {} of 3, ", state), from);
    ASSERT_NE(at, std::string::npos) << text;
    // Each has its own table with its own flow.
    const cooling::Solution& first = one.study.points.front().solution;
    const cooling::Solution& here = state == 1 ? first : first.further[static_cast<std::size_t>(state - 2)];
    const std::size_t row = text.find("\n  fan ", at);
    ASSERT_NE(row, std::string::npos);
    const std::string line = text.substr(row + 1, text.find('\n', row + 1) - row - 1);
    EXPECT_TRUE(holds_words(line, units::show(here.elements[1].flow, units::Quantity::mass_flow))) << line;
    const std::string stays = here.stable ? "stable\n" : "not stable\n";
    EXPECT_TRUE(holds_words(text.substr(at, text.find('\n', at) + 1 - at), " 3, " + stays)) << text;
    from = at;
  }
}

TEST(SeveralStates, JsonHoldsOneOnEachPartOfTheCurve) {
  const testing::Solved one = testing::solved(stalling_document().dump());
  const auto point = nlohmann::json::parse(study_json(one.model, one.study, {})).at("points").at(0);
  ASSERT_EQ(point.at("further_points").size(), 2u);
  std::vector<std::pair<double, bool>> states;
  const auto add = [&states](const nlohmann::json& state) {
    const auto& elements = state.at("elements");
    const double flow = elements.at("fan").at("flow").get<double>();
    // What comes in goes out, and the fan's rise is what stands between the nodes.
    EXPECT_NEAR(elements.at("mouth").at("flow").get<double>(), flow, 1e-9);
    EXPECT_NEAR(elements.at("outlet").at("flow").get<double>(), flow, 1e-9);
    EXPECT_NEAR(state.at("nodes").at("before").at("total_pressure").get<double>() -
                    state.at("nodes").at("box").at("total_pressure").get<double>(),
                elements.at("fan").at("pressure_loss").get<double>(), 1e-6);
    EXPECT_EQ(state.at("certificate").at("met"), true);
    // 100 kPa at 20 degC.
    states.emplace_back(flow / 1.188, state.at("stable").get<bool>());
  };
  add(point);
  for (const auto& state : point.at("further_points")) add(state);
  std::sort(states.begin(), states.end());
  EXPECT_TRUE(states[0].second && states[0].first > 0.0 && states[0].first < 0.25);
  EXPECT_TRUE(!states[1].second && states[1].first > 0.25 && states[1].first < 0.5);
  EXPECT_TRUE(states[2].second && states[2].first > 0.5 && states[2].first < 1.0);
}

TEST(SeveralStates, NoReportJudgesOneOfThem) {
  const testing::Solved one = testing::solved(stalling_document().dump());
  EXPECT_EQ(one.study.status, Status::no_solution);
  studies::Outlook outlook;
  outlook.advice = studies::advise(one.model, one.study, {});
  outlook.ranking = studies::hardest_first(one.study);
  const std::string text = check_text(one.model, one.study, outlook);
  EXPECT_TRUE(holds_words(text, "verdict: none, a point has several possible operating points\n")) << text;
  EXPECT_TRUE(holds_words(text, "not judged at these points")) << text;
  EXPECT_FALSE(holds_words(text, "not met")) << text;
  const auto results = nlohmann::json::parse(study_json(one.model, one.study, {}, &outlook));
  EXPECT_TRUE(results.at("verdict").is_null());
  EXPECT_TRUE(results.at("requirements").at(0).at("verdict").is_null());
  EXPECT_TRUE(results.at("points").at(0).at("requirements").empty());
  EXPECT_TRUE(results.at("advice").empty());
  for (const Finding& finding : findings_of(one.model, one.study, {}))
    EXPECT_FALSE(finding.rule.starts_with("requirement/")) << finding.text;
}

/// The stalling fan at so many points; the last has suction behind, and so one state.
testing::Solved at_points(int count) {
  auto document = stalling_document();
  const auto level = document["points"][0];
  for (int i = 1; i < count; ++i) {
    document["points"].push_back(level);
    document["points"].back()["name"] = fmt::format("run {}", i);
  }
  document["points"].back()["cp"] = {{"outlet", -0.5}};
  return testing::solved(document.dump());
}

TEST(SeveralStates, WhatHoldsElsewhereIsStillTold) {
  const testing::Solved one = at_points(2);
  const std::string page = report_page(one.model, one.study, page_content(one.model, one.study, {}, {}));
  pugi::xml_document document;
  ASSERT_TRUE(document.load_string(page.c_str()));
  std::vector<std::string> cells;
  for (const auto& found :
       document.select_nodes("//table[caption='Every requirement at every point']/tbody/tr/td")) {
    std::string words;
    for (const auto& part : found.node().select_nodes(".//text()")) words += part.node().value();
    cells.push_back(words);
  }
  ASSERT_EQ(cells.size(), 2u);
  EXPECT_EQ(cells[0], " several solutions");
  EXPECT_TRUE(cells[1].ends_with(" met")) << cells[1];
  EXPECT_TRUE(nlohmann::json::parse(study_json(one.model, one.study, {})).at("verdict").is_null());
}

TEST(SeveralStates, OfManyPointsTheyAreAllShownAndRankFirst) {
  const testing::Solved one = at_points(8);
  studies::Outlook outlook;
  outlook.ranking = studies::hardest_first(one.study);
  ASSERT_EQ(outlook.ranking.size(), 8u);
  for (std::size_t i = 0; i < 7; ++i) EXPECT_FALSE(outlook.ranking[i].solved);
  EXPECT_EQ(outlook.ranking.back().point, "run 7");
  const std::string text = check_text(one.model, one.study, outlook);
  for (const char* name : {"level: 93 km/h", "run 1: 93 km/h", "run 6: 93 km/h"})
    EXPECT_TRUE(holds_words(text, name)) << name;
}

}  // namespace
}  // namespace corefeed::reports
