// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/page.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>
#include <regex>
#include <set>

#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using testing::changed;
using testing::solved;
using testing::Solved;

/// Margins are made up: to look for them takes seconds, and they have tests of their own.
studies::Margins some_margins() {
  using studies::Margin;
  using studies::Trouble;
  const auto margin = [](Margin::Until until, Trouble trouble, const char* name, const char* point,
                         std::optional<double> amount) {
    Margin made;
    made.until = until;
    made.trouble = trouble;
    made.name = name;
    made.point = point;
    made.amount = amount;
    return made;
  };
  studies::Margins margins;
  margins.margins = {margin(Margin::Until::requirement, Trouble::outlet_pressure, "cool", "slow", 0.25),
                     margin(Margin::Until::half_flow, Trouble::outlet_pressure, "radiator", "fast", 0.75),
                     margin(Margin::Until::requirement, Trouble::dirty_cores, "cool", "slow", std::nullopt),
                     margin(Margin::Until::half_flow, Trouble::dirty_cores, "radiator", "fast", 0.5)};
  margins.margins[2].lost_beyond = 0.9;
  margins.without = {Trouble::clogged_screens};
  return margins;
}

std::string page_of(const Solved& one, const PageScripts& scripts = {}, const std::string& variant = {}) {
  const studies::StudyOptions options;
  studies::Outlook outlook;
  outlook.advice = studies::advise(one.model, one.study, options);
  outlook.ranking = studies::hardest_first(one.study);
  outlook.margins = some_margins();
  return report_page(one.model, one.study, page_content(one.model, one.study, options, outlook, variant),
                     scripts);
}

/// The page is well-formed XML on purpose, so that a test can walk it.
pugi::xml_document parsed(const std::string& page) {
  pugi::xml_document document;
  const pugi::xml_parse_result result = document.load_string(page.c_str());
  EXPECT_TRUE(result) << result.description() << " near "
                      << page.substr(static_cast<std::size_t>(result.offset), 80);
  return document;
}

std::string words_of(const pugi::xml_node& node) {
  std::string text;
  for (const auto& found : node.select_nodes(".//text()")) text += std::string(found.node().value()) + " ";
  return text;
}

std::string section_words(const pugi::xml_document& page, const char* id) {
  return words_of(page.select_node((std::string("//section[@id='") + id + "']").c_str()).node());
}

std::vector<std::string> section_ids(const pugi::xml_document& page) {
  std::vector<std::string> ids;
  for (const auto& found : page.select_nodes("//section"))
    ids.emplace_back(found.node().attribute("id").value());
  return ids;
}

Solved failing() { return solved(changed(R"("at_most": "70 degC")", R"("at_most": "40 degC")")); }

TEST(Page, SectionsComeInTheirOrder) {
  EXPECT_EQ(section_ids(parsed(page_of(failing()))),
            (std::vector<std::string>{"verdict", "requirements", "network", "budget", "speed", "uncertainty",
                                      "margins", "advice", "sections", "assumptions", "warnings", "power",
                                      "cautions"}));
}

TEST(Page, LoadsNothing) {
  const std::string page =
      page_of(failing(), {.name = "lines 1", .script = "1;", .style = "", .license = "free"});
  EXPECT_NE(page.find("content=\"default-src 'none'"), std::string::npos);
  const std::regex loads(R"((src|srcset|action|data)\s*=|url\((?!#)|@import|<link|<iframe|<img)");
  std::smatch found;
  EXPECT_FALSE(std::regex_search(page, found, loads)) << found.str();
  const pugi::xml_document document = parsed(page);
  for (const auto& link : document.select_nodes("//*[@href]"))
    EXPECT_EQ(link.node().attribute("href").value()[0], '#');
}

TEST(Page, VerdictStandsInWords) {
  EXPECT_NE(section_words(parsed(page_of(failing())), "verdict").find("Not met: 1 of 2 requirements fails."),
            std::string::npos);
  const Solved easy = solved(changed(R"("at_most": "70 degC")", R"("at_most": "240 degC")"));
  EXPECT_NE(section_words(parsed(page_of(easy)), "verdict").find("Met: 2 of 2 requirements hold."),
            std::string::npos);
}

TEST(Page, RequirementsShowTheirWorstPoint) {
  const std::string words = section_words(parsed(page_of(failing())), "requirements");
  for (const char* one :
       {"cool", "coolant.temperature", "slow", "<= 40 degC", "not met", "fed", ">= 0.2 kg/s", "met"})
    EXPECT_NE(words.find(one), std::string::npos) << one;
}

/// Nothing is said by color alone: each badge and cell has a word, each mark a shape.
TEST(Page, EveryBadgeHasAWord) {
  const pugi::xml_document page = parsed(page_of(failing()));
  for (const auto& found : page.select_nodes("//span[starts-with(@class,'badge')]"))
    EXPECT_GT(words_of(found.node()).size(), 3u);
}

TEST(Page, ReadsWellAloud) {
  const pugi::xml_document page = parsed(page_of(failing()));
  EXPECT_STREQ(page.child("html").attribute("lang").value(), "en");
  for (const auto& found : page.select_nodes("//th")) EXPECT_TRUE(found.node().attribute("scope"));
  for (const auto& found : page.select_nodes("//table")) EXPECT_TRUE(found.node().child("caption"));
  for (const auto& found : page.select_nodes("//svg[not(ancestor::svg)]")) {
    const pugi::xml_node svg = found.node();
    const bool hidden = std::string(svg.attribute("aria-hidden").value()) == "true";
    EXPECT_TRUE(hidden || (svg.attribute("aria-label") && svg.child("title") && svg.child("desc")));
  }
  int level = 1;
  for (const auto& found : page.select_nodes("//h1|//h2|//h3")) {
    const int here = found.node().name()[1] - '0';
    EXPECT_LE(here, level + 1) << words_of(found.node());
    level = here;
  }
  std::set<std::string> ids;
  for (const auto& found : page.select_nodes("//*[@id]"))
    EXPECT_TRUE(ids.insert(found.node().attribute("id").value()).second)
        << found.node().attribute("id").value();
  for (const auto& found : page.select_nodes("//a[@href]"))
    EXPECT_TRUE(ids.count(found.node().attribute("href").value() + 1))
        << found.node().attribute("href").value();
  EXPECT_STREQ(page.select_node("//body/*[1]").node().attribute("class").value(), "skip");
}

TEST(Page, NamesCannotBecomeMarkup) {
  const Solved odd =
      solved(changed(R"("title": "a \"small\" car & more")", R"("title": "</title><script>x</script>")"));
  const std::string page = page_of(odd);
  EXPECT_EQ(page.find("<script>x"), std::string::npos);
  const pugi::xml_document document = parsed(page);
  EXPECT_NE(words_of(document.select_node("//h1").node()).find("<script>"), std::string::npos);
}

TEST(Page, CuresAreCommandsThatAShellTakes) {
  const Solved one =
      solved(changed(R"("name": "cool", "quantity": "coolant.temperature", "at_most": "70 degC")",
                     R"("name": "it's cool", "quantity": "coolant.temperature", "at_most": "40 degC")"));
  const pugi::xml_document page = parsed(page_of(one, {}, "wide nose"));
  const std::string commands = words_of(page.select_node("//pre").node());
  EXPECT_NE(commands.find("corefeed size 'small.json' --variant 'wide nose' --vary "), std::string::npos)
      << commands;
  EXPECT_NE(commands.find("--until 'requirement:it'\\''s cool'"), std::string::npos) << commands;
}

TEST(Page, APointWithoutSolutionIsExplained) {
  const Solved none = solved(testing::small_text(), testing::hopeless());
  studies::StudyOptions options = testing::hopeless();
  const std::string text =
      report_page(none.model, none.study, page_content(none.model, none.study, options, studies::Outlook{}));
  const pugi::xml_document page = parsed(text);
  const std::string words = section_words(page, "verdict");
  EXPECT_NE(words.find("No verdict: 2 of 2 points have no solution."), std::string::npos) << words;
  EXPECT_NE(words.find(none.study.points[0].solution.explanation), std::string::npos);
  EXPECT_NE(section_words(page, "network").find("no flow to draw"), std::string::npos);
  EXPECT_NE(section_words(page, "cautions"), "");
}

TEST(Page, MarginsSayWhatComesFirst) {
  const pugi::xml_document page = parsed(page_of(solved()));
  const std::string words = section_words(page, "margins");
  for (const char* one :
       {"cool fails", "+0.25", "radiator has half its air", "50 %", "no steady state beyond 90 %",
        "No part of this model is concerned by: share of every screen"})
    EXPECT_NE(words.find(one), std::string::npos) << one << ": " << words;
  EXPECT_EQ(page.select_nodes("//section[@id='margins']//strong").size(), 2u);
}

TEST(Page, ManyPointsAreRanked) {
  std::string points = R"("points": [)";
  for (int i = 0; i < 6; ++i) {
    points += std::string(i == 0 ? "" : ", ") + R"({"name": "run )" + std::to_string(i) + R"(", "speed": ")" +
              std::to_string(180 - 20 * i) + R"( km/h"})";
  }
  std::string text = testing::small_text();
  const std::size_t from = text.find(R"("points": [)");
  const std::size_t to = text.find("]", from);
  text.replace(from, to - from, points);
  const pugi::xml_document page = parsed(page_of(solved(text)));
  const auto rows = page.select_nodes("//section[@id='ranking']//tbody/tr/th");
  ASSERT_EQ(rows.size(), 6u);
  // The slowest is the hardest: the least air for the same heat.
  EXPECT_STREQ(rows[0].node().text().get(), "run 5");
  const pugi::xml_document few = parsed(page_of(solved()));
  EXPECT_FALSE(few.select_node("//section[@id='ranking']"));
}

TEST(Page, SectionsFollowTheDuct) {
  const pugi::xml_document page = parsed(page_of(solved()));
  const std::string words = section_words(page, "sections");
  EXPECT_NE(words.find("nose/1 duct"), std::string::npos);
  EXPECT_NE(words.find("1500 cm2"), std::string::npos);
  EXPECT_TRUE(page.select_node("//section[@id='sections']//figure[@class='chart']"));
}

TEST(Page, ScriptsStandOnlyWhereThereAreSome) {
  const std::string bare = page_of(solved());
  EXPECT_EQ(bare.find("<script>"), std::string::npos);
  EXPECT_EQ(bare.find("script-src"), std::string::npos);
  const std::string with = page_of(
      solved(), {.name = "lines 1.2", .script = "draw();", .style = ".u{}", .license = "Use it freely."});
  EXPECT_NE(with.find("draw();"), std::string::npos);
  EXPECT_NE(with.find("Use it freely."), std::string::npos);
  EXPECT_NE(with.find("script-src 'unsafe-inline'"), std::string::npos);
  // All else is the same page.
  const std::size_t body = with.find("<main>");
  EXPECT_EQ(with.substr(body, with.find("</main>") - body),
            bare.substr(bare.find("<main>"), bare.find("</main>") - bare.find("<main>")));
}

TEST(Page, IsTheSameForTheSameStudy) { EXPECT_EQ(page_of(solved()), page_of(solved())); }

}  // namespace
}  // namespace corefeed::reports
