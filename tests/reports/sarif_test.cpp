// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/sarif.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "corefeed/reports/annotations.hpp"
#include "corefeed/reports/findings.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using nlohmann::json;
using testing::changed;
using testing::solved;
using testing::Solved;

Solved not_met() { return solved(changed(R"("at_most": "70 degC")", R"("at_most": "40 degC")")); }

/// The diffuser opens at 93 degrees, beyond the 60 of its law.
Solved out_of_range() { return solved(changed(R"("length": "500 mm")", R"("length": "100 mm")")); }

json run_of(const Solved& one, const studies::StudyOptions& options = {}) {
  const json document = json::parse(sarif(one.model, one.study, options));
  EXPECT_EQ(document["version"], "2.1.0");
  EXPECT_EQ(document["runs"].size(), 1u);
  return document["runs"][0];
}

std::vector<json> results_of(const json& run, const std::string& rule) {
  std::vector<json> list;
  for (const json& result : run["results"]) {
    if (result["ruleId"] == rule) list.push_back(result);
  }
  return list;
}

int line_of(const json& result) {
  return result["locations"][0]["physicalLocation"]["region"]["startLine"].get<int>();
}

TEST(Sarif, ARequirementThatIsNotMetIsAnErrorAtItsLine) {
  const json run = run_of(not_met());
  const std::vector<json> missed = results_of(run, "requirement/not_met");
  ASSERT_EQ(missed.size(), 2u);  // at both points
  EXPECT_EQ(missed[0]["level"], "error");
  EXPECT_EQ(line_of(missed[0]), 24);
  EXPECT_EQ(missed[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "small.json");
  EXPECT_NE(missed[0]["message"]["text"].get<std::string>().find("coolant.temperature is "),
            std::string::npos);
  // The worse point first.
  EXPECT_NE(missed[0]["message"]["text"].get<std::string>().find("(slow)"), std::string::npos);
}

TEST(Sarif, RulesAreNamedAndEachResultPointsAtItsOwn) {
  const json run = run_of(out_of_range());
  const json& rules = run["tool"]["driver"]["rules"];
  EXPECT_GE(rules.size(), finding_rules().size());
  ASSERT_FALSE(run["results"].empty());
  for (const json& result : run["results"])
    EXPECT_EQ(rules[result["ruleIndex"].get<std::size_t>()]["id"], result["ruleId"]);
  for (const json& rule : rules) EXPECT_GT(rule["help"]["text"].get<std::string>().size(), 20u);
}

TEST(Sarif, AWarningOfASolutionStandsAtItsElement) {
  const std::vector<json> warned = results_of(run_of(out_of_range()), "out_of_range");
  ASSERT_FALSE(warned.empty());
  EXPECT_EQ(warned[0]["level"], "warning");
  EXPECT_EQ(line_of(warned[0]), 8);  // the duct whose piece it is
  studies::StudyOptions strict;
  strict.strict = true;
  EXPECT_EQ(results_of(run_of(out_of_range(), strict), "out_of_range")[0]["level"], "error");
}

TEST(Sarif, APointWithoutSolutionIsAnErrorAtItsLine) {
  const std::vector<json> lost =
      results_of(run_of(solved(testing::small_text(), testing::hopeless())), "point/no_solution");
  ASSERT_EQ(lost.size(), 2u);
  EXPECT_EQ(line_of(lost[0]), 20);
  EXPECT_EQ(lost[0]["level"], "error");
}

/// Lines put above everything move no fingerprint; another point or requirement has another one.
TEST(Sarif, FingerprintsDoNotMoveWithLines) {
  const auto prints = [](const Solved& one) {
    std::vector<std::string> list;
    const json run = run_of(one);
    for (const json& result : run.at("results"))
      list.push_back(result.at("partialFingerprints").at("corefeedFinding/v1").get<std::string>());
    return list;
  };
  std::string lower = changed(R"("at_most": "70 degC")", R"("at_most": "40 degC")");
  lower.insert(1, "\n\n\n");
  const Solved moved = solved(lower);
  EXPECT_EQ(prints(not_met()), prints(moved));
  EXPECT_EQ(line_of(results_of(run_of(moved), "requirement/not_met")[0]), 27);
  const std::vector<std::string> all = prints(not_met());
  EXPECT_EQ(std::set<std::string>(all.begin(), all.end()).size(), all.size());
}

TEST(Sarif, FilesAreRelativeWhereTheyCanBe) {
  EXPECT_EQ(uri_of("cars/a b#1.json", "/shop"), "cars/a%20b%231.json");
  EXPECT_EQ(uri_of("/shop/cars/a.json", "/shop"), "cars/a.json");
  EXPECT_EQ(uri_of("/elsewhere/a.json", "/shop"), "file:///elsewhere/a.json");
}

/// Every code that a check may warn of is a rule with words of its own: the sources are asked for their
/// codes.
TEST(Sarif, EveryWarningHasARule) {
  const std::filesystem::path lib = std::filesystem::path(COREFEED_SOURCE_DIR) / "lib/corefeed";
  const std::regex warns(
      R"re((?:\bwarning|\bpoint_warning|\bwarn|\bnote)\(\s*(?:[a-z_.]+,\s*)?(?:out \? )?"([a-z_]+)"(?: : "([a-z_]+)")?)re");
  std::size_t found = 0;
  for (const char* name :
       {"studies/warnings.cpp", "studies/study.cpp", "model/build.cpp", "model/bind_geometry.cpp",
        "model/fit_tests.cpp", "model/read_sections.cpp", "cooling/conductance_fit.cpp"}) {
    std::ifstream file(lib / name);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    ASSERT_FALSE(text.empty()) << name;
    for (std::sregex_iterator match(text.begin(), text.end(), warns), end; match != end; ++match) {
      for (std::size_t group : {1u, 2u}) {
        const std::string code = (*match)[group].str();
        if (code.empty()) continue;
        ++found;
        EXPECT_EQ(finding_rule(code).id, code) << name;
      }
    }
  }
  EXPECT_GE(found, 20u);  // the pattern still finds them
}

TEST(Annotations, AreLinesWithTheWorstFirst) {
  const Solved one = not_met();
  const std::string text = annotations(one.model, one.study);
  EXPECT_EQ(text.find("::error file=small.json,line=24,title=a requirement is not met::cool (slow): "), 0u)
      << text;
  EXPECT_NE(text.find("::notice file=small.json,title=corefeed::Not met: 1 of 2 requirements fails.\n"),
            std::string::npos);
  EXPECT_EQ(text.back(), '\n');
}

/// A name cannot end its line, or its property.
TEST(Annotations, AreEscaped) {
  Solved one = solved(
      changed(R"("name": "cool", "quantity": "coolant.temperature", "at_most": "70 degC")",
              R"("name": "50 %\n::error::x", "quantity": "coolant.temperature", "at_most": "40 degC")"));
  one.model.file = "a,b:c.json";
  const std::string text = annotations(one.model, one.study);
  EXPECT_NE(text.find("file=a%2Cb%3Ac.json"), std::string::npos) << text;
  EXPECT_NE(text.find("::50 %25%0A::error::x (slow)"), std::string::npos) << text;
  EXPECT_EQ(text.find("\n::error::x"), std::string::npos);
}

}  // namespace
}  // namespace corefeed::reports
