// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using testing::changed;
using testing::Solved;
using testing::solved;

std::string text_of(const Solved& one) {
  return check_text(one.model, one.study, studies::look_ahead(one.model, one.study));
}

bool says(const std::string& text, std::string_view words) { return text.find(words) != std::string::npos; }

/// The small car at eight speeds.
std::string many_points() {
  std::string points;
  for (int i = 0; i < 8; ++i) {
    points += (points.empty() ? "" : ", ") + std::string("{\"name\": \"run ") + std::to_string(i + 1) +
              "\", \"speed\": \"" + std::to_string(180 - 10 * i) + " km/h\"}";
  }
  return changed(R"({"name": "fast", "speed": "180 km/h"},
             {"name": "slow", "speed": "60 km/h"})",
                 points);
}

TEST(OutlookText, ALeverComesWithTheSizeThatCures) {
  const std::string text = text_of(solved(changed("\"at_most\": \"70 degC\"", "\"at_most\": \"110 degC\"")));
  EXPECT_TRUE(says(text, "cures it (now ")) << text;
  EXPECT_TRUE(says(text, "--until 'requirement:cool'")) << text;
}

TEST(OutlookText, WhatCannotCureSaysSo) {
  const std::string text =
      text_of(solved(changed("\"at_least\": \"0.2 kg/s\"", "\"at_least\": \"20 kg/s\"")));
  EXPECT_TRUE(says(text, "no cure by it alone")) << text;
  EXPECT_TRUE(says(text, "reaches only")) << text;
  // The two strongest together may do what neither does alone.
  EXPECT_TRUE(says(text, "--vary outlet.area,radiator.face_area")) << text;
}

TEST(OutlookText, TroublesThatConcernNothingAreLeftOut) {
  const std::string text = text_of(solved());
  EXPECT_TRUE(says(text, "rise of Cp at every vent")) << text;
  EXPECT_FALSE(says(text, "screen")) << text;
  EXPECT_FALSE(says(text, "leak")) << text;
}

TEST(OutlookText, OfManyPointsThoseThatDecideAreShownAndAllAreRanked) {
  const std::string text = text_of(solved(many_points()));
  EXPECT_TRUE(says(text, "hardest first")) << text;
  for (const char* name : {"run 1", "run 4", "run 8"}) EXPECT_TRUE(says(text, name)) << name;
  // The slowest decides; the others have no block of their own.
  EXPECT_TRUE(says(text, "run 8: 110 km/h")) << text;
  EXPECT_FALSE(says(text, "run 4: 150 km/h")) << text;
}

TEST(OutlookText, AFewPointsNeedNoRanking) { EXPECT_FALSE(says(text_of(solved()), "hardest first")); }

TEST(VerdictText, WhatWasNotJudgedIsNotCountedAsMet) {
  studies::StudyOptions slow;
  slow.points = {"slow"};
  const std::string fed = R"("at_least": "0.2 kg/s")";
  // One requirement speaks of the other point alone, then both do.
  const std::string one = text_of(solved(changed(fed, fed + R"(, "at": ["fast"])"), slow));
  EXPECT_TRUE(says(one, "1 of 2 requirements fail, 1 not judged at these points")) << one;
  std::string neither = changed(fed, fed + R"(, "at": ["fast"])");
  const std::string cool = R"("at_most": "70 degC")";
  neither.replace(neither.find(cool), cool.size(), cool + R"(, "at": ["fast"])");
  const Solved silent = solved(neither, slow);
  EXPECT_TRUE(says(text_of(silent), "verdict: none, no requirement speaks of these points"))
      << text_of(silent);
  EXPECT_TRUE(
      nlohmann::json::parse(study_json(silent.model, silent.study, {}, nullptr)).at("verdict").is_null());
}

nlohmann::json json_of(const Solved& one) {
  const studies::Outlook outlook = studies::look_ahead(one.model, one.study);
  return nlohmann::json::parse(study_json(one.model, one.study, {}, &outlook));
}

TEST(OutlookJson, HoldsRankingAdviceAndMargins) {
  const Solved one = solved();
  const nlohmann::json document = json_of(one);
  EXPECT_EQ(document.at("ranking").at(0).at("point"), "slow");
  const auto& advice = document.at("advice").at(0);
  EXPECT_EQ(advice.at("requirement"), "cool");
  EXPECT_NEAR(advice.at("target").get<double>(), 273.15 + 70.0, 1e-9);
  EXPECT_EQ(advice.at("levers").size(), 3U);
  for (const auto& margin : document.at("margins")) {
    if (margin.at("until") != "requirement" || margin.at("name") != "cool") continue;
    EXPECT_EQ(margin.at("from_the_start"), true);
    EXPECT_EQ(margin.at("amount"), margin.at("unchanged_at"));
  }
  EXPECT_TRUE(document.at("envelopes").empty());
}

// The share that the margin names, given to the screen, leaves just the air that is asked for.
TEST(OutlookJson, AScreenMayCloseByTheShareThatIsNamed) {
  auto model = nlohmann::ordered_json::parse(testing::small_text());
  model["requirements"][1]["at_most"] = "200 degC";
  model["air"]["elements"]["outlet"]["from"] = "behind";
  model["air"]["elements"]["mesh"] = {
      {"kind", "screen"}, {"from", "bay"}, {"to", "behind"}, {"area", "1500 cm2"}, {"open_fraction", 0.6}};
  const nlohmann::json document = json_of(solved(model.dump()));
  double share = 0.0;
  for (const auto& margin : document.at("margins")) {
    if (margin.at("trouble") != "clogged_screens" || margin.at("name") != "fed") continue;
    EXPECT_EQ(margin.at("until"), "requirement");
    EXPECT_EQ(margin.at("unchanged_at"), 0);
    share = margin.at("amount").get<double>();
  }
  EXPECT_GT(share, 0.5);
  model["air"]["elements"]["mesh"]["clogging"] = share;
  EXPECT_NEAR(*solved(model.dump()).study.points[1].solution.value("radiator.flow"), 0.2, 1e-4);
}

TEST(OutlookJson, WithoutAnOutlookItsKeysAreNotThere) {
  const Solved one = solved();
  EXPECT_FALSE(nlohmann::json::parse(study_json(one.model, one.study, {})).contains("margins"));
}

TEST(PowerJson, AddsUp) {
  const nlohmann::json document = json_of(solved());
  for (const auto& point : document.at("points")) {
    const auto& power = point.at("power");
    double sum = 0.0;
    for (const auto& line : power.at("losses")) sum += line.at("power").get<double>();
    const double lost = power.at("lost").get<double>();
    EXPECT_NEAR(sum, lost, 1e-9 * lost);
    EXPECT_NEAR(
        power.at("ram").get<double>() + power.at("fans").get<double>() + power.at("expansion").get<double>(),
        lost, 1e-9 * lost);
  }
}

}  // namespace
}  // namespace corefeed::reports
