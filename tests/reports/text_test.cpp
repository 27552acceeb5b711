// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/text.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <nlohmann/json.hpp>
#include <optional>

#include "corefeed/reports/json.hpp"
#include "tests/reports/small_study.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::reports {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_file;

/// The line of a text that begins with these words, spaces made one.
std::string row_of(const std::string& text, const std::string& words) {
  const std::size_t at = text.find("\n  " + words + " ");
  if (at == std::string::npos) return "";
  std::string line;
  for (const char c : text.substr(at + 3, text.find('\n', at + 1) - at - 3)) {
    if (c != ' ' || line.back() != ' ') line += c;
  }
  return line;
}

std::string last_verdict(const testing::Solved& one) {
  const std::string text = check_text(one.model, one.study, {});
  const std::size_t at = text.find("verdict: ");
  return text.substr(at, text.find('\n', at) - at);
}

std::string without_requirements() {
  auto document = nlohmann::ordered_json::parse(testing::small_text());
  document.erase("requirements");
  return document.dump();
}

TEST(CheckText, EveryOutcomeHasItsVerdict) {
  EXPECT_EQ(last_verdict(testing::solved(without_requirements())),
            "verdict: none, the model states no requirement");
  EXPECT_EQ(last_verdict(testing::solved(testing::small_text(), testing::hopeless())),
            "verdict: none, a point has no solution");
  const std::string easy = testing::changed(R"("at_most": "70 degC")", R"("at_most": "300 degC")");
  EXPECT_EQ(last_verdict(testing::solved(easy)), "verdict: met, 2 of 2 requirements");
  EXPECT_EQ(last_verdict(testing::solved()), "verdict: NOT MET, 1 of 2 requirements fail");
}

TEST(CheckText, AWarningThatCountsWhenStrictIsNamedAsTheReason) {
  studies::StudyOptions strict;
  strict.strict = true;
  auto document = nlohmann::ordered_json::parse(testing::small_text());
  document["requirements"][1]["at_most"] = "400 degC";
  // 100 mm from 400 to 1500 cm2 open at 93 degrees, beyond the 60 of the diffuser's law.
  document["air"]["elements"]["nose"]["pieces"][1]["length"] = "100 mm";
  EXPECT_EQ(last_verdict(testing::solved(document.dump())), "verdict: met, 2 of 2 requirements");
  EXPECT_EQ(last_verdict(testing::solved(document.dump(), strict)),
            "verdict: NOT MET, a warning counts when strict");
}

TEST(SolveText, APointWithoutSolutionHasItsReasonAndNoTable) {
  const testing::Solved none = testing::solved(testing::small_text(), testing::hopeless());
  const std::string text = solve_text(none.model, none.study);
  for (const studies::PointResult& point : none.study.points)
    EXPECT_NE(text.find(point.name + ": "), std::string::npos) << text;
  EXPECT_EQ(text.find("total pressure"), std::string::npos) << text;
}

// Of the same oil, as hot: the same volume for the same mass, though no node stands before a supply.
TEST(SolveText, ALiquidThatIsSuppliedIsToldByVolumeToo) {
  auto document = nlohmann::ordered_json::parse(
      read_file(COREFEED_SOURCE_DIR "/geometry_samples/oil_cooler_bench.corefeed"));
  auto& oil = document["loops"]["oil"];
  oil["elements"]["rig"] = {
      {"kind", "supply"}, {"to", "rail"}, {"flow", "0.3 kg/s"}, {"temperature", "90 degC"}};
  oil["nodes"]["rail"] = {{"kind", "plenum"}};
  const testing::Solved one = testing::solved(document.dump());
  const std::string text = solve_text(one.model, one.study);
  const std::string lines = row_of(text, "lines");
  const std::string flow = lines.substr(0, lines.find(')') + 1).substr(lines.find("0.3 "));
  EXPECT_EQ(row_of(text, "rig"), "rig supply " + flow + " 0 kPa") << text;
  // 870 kg/m3 at 15 degC, less by some 0.07 % for each of the 75 K: about 823 at 90 degC.
  double litres = 0.0;
  ASSERT_EQ(std::sscanf(flow.c_str(), "0.3 kg/s (%lf L/min)", &litres), 1) << flow;
  EXPECT_NEAR(litres, 0.3 / 823.0 * 60e3, 0.02 * 21.9);
}

/// The invented stack with its oil cooler in front of a fifth of the radiator; its figures come from a
/// program of another form.
testing::Solved oil_cooler_in_front() {
  model::ReadOptions options;
  options.variant = "front";
  const std::string text = read_file(COREFEED_SOURCE_DIR "/tests/data/stack-demo.corefeed");
  model::Model model = model::parse_model(text, "stack.json", ".", options).value();
  studies::Study study = studies::run_study(model).value();
  return {std::move(model), std::move(study)};
}

TEST(CheckText, ASplitCoreStandsOnceMoreAsAWhole) {
  const testing::Solved one = oil_cooler_in_front();
  const std::string text = check_text(one.model, one.study, {});
  const std::string zone = row_of(text, "radiator_rows");
  EXPECT_TRUE(zone.starts_with("radiator_rows 0.15")) << text;
  EXPECT_TRUE(row_of(text, "radiator/rest").starts_with("radiator/rest 1.02")) << text;
  const std::string whole = row_of(text, "radiator");
  // 1.1746 kg/s and all the 68 kW; its air comes out in two temperatures.
  EXPECT_TRUE(whole.starts_with("radiator 1.17")) << text;
  EXPECT_TRUE(whole.ends_with(" m/s 68 kW")) << whole;
}

TEST(StudyJson, ASplitCoreHoldsItsZones) {
  const testing::Solved one = oil_cooler_in_front();
  const auto elements =
      nlohmann::json::parse(study_json(one.model, one.study, {})).at("points").at(0).at("elements");
  const auto& whole = elements.at("radiator");
  EXPECT_EQ(whole.at("kind"), "core");
  EXPECT_NEAR(whole.at("flow").get<double>(), 1.1746299882457594, 1.2e-4);
  EXPECT_NEAR(whole.at("heat").get<double>(), 68e3, 0.1);
  ASSERT_EQ(whole.at("zones").size(), 2u);
  double flow = 0.0;
  double heat = 0.0;
  double face = 0.0;
  for (const auto& zone : whole.at("zones")) {
    const bool rows = zone.at("name") == "radiator_rows";
    EXPECT_TRUE(rows || zone.at("name") == "radiator/rest") << zone.at("name");
    EXPECT_EQ(zone.at("kind"), "core");
    flow += zone.at("flow").get<double>();
    heat += zone.at("heat").get<double>();
    face += (rows ? 0.2 : 0.8) * zone.at("face_velocity").get<double>();
  }
  EXPECT_NEAR(flow, whole.at("flow").get<double>(), 1e-9);
  EXPECT_NEAR(heat, whole.at("heat").get<double>(), 1e-3);
  EXPECT_NEAR(face, whole.at("face_velocity").get<double>(), 1e-6);
}

/// The answer of `corefeed size` to a question about the golden car.
std::string sized_text(const model::Model& model, const std::string& parameter, const std::string& condition,
                       std::optional<double> lowest = {}, std::optional<double> highest = {}) {
  studies::SizeQuestion question = studies::read_condition(model, condition).value();
  question.parameters = {parameter};
  question.lowest = lowest;
  question.highest = highest;
  return size_text(model, question, studies::size(model, question).value());
}

TEST(SizeText, SaysWhatItIsNowAndByWhichFactor) {
  const model::Model model = corefeed::testing::read_text(golden_document().dump());
  const std::string text = sized_text(model, "fender_vent.area", "radiator.flow >= 1.514622488 kg/s");
  // 0.0652531 m2 by an independent solution, 400 cm2 as it is.
  EXPECT_NE(text.find("(now 400.0 cm2, factor 1.6313)\n"), std::string::npos) << text;
  EXPECT_NE(text.find("\n  radiator.flow becomes 1.515 kg/s at fast straight; wanted >= 1.515 kg/s\n"),
            std::string::npos)
      << text;
}

TEST(SizeText, OfNothingThereIsNoFactor) {
  auto document = golden_document();
  document["air"]["elements"]["fender_vent"]["cp"] = 0;
  const model::Model model = corefeed::testing::read_text(document.dump());
  const std::string text = sized_text(model, "fender_vent.cp", "radiator.flow >= 1.2 kg/s", -1.0, 0.5);
  EXPECT_NE(text.find("fender_vent.cp = -"), std::string::npos) << text;
  EXPECT_NE(text.find(" (now 0)\n"), std::string::npos) << text;
}

TEST(SizeText, OutOfReachNamesTheRangeAndTheBest) {
  const model::Model model = corefeed::testing::read_text(golden_document().dump());
  const std::string text = sized_text(model, "fender_vent.area", "radiator.flow >= 3 kg/s");
  EXPECT_NE(text.find("out of reach: the best of 80.00 cm2 to 2000 cm2 is fender_vent.area = 2000 cm2\n"),
            std::string::npos)
      << text;
  EXPECT_NE(text.find("radiator.flow reaches only 1.714 kg/s"), std::string::npos) << text;
  EXPECT_NE(text.find("limited by: "), std::string::npos) << text;
}

}  // namespace
}  // namespace corefeed::reports
