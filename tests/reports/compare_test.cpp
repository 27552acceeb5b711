// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/compare.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>

#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using nlohmann::json;
using studies::Alternative;

/// The small car with a fan behind its radiator, and what people try instead.
const std::string& car_with_variants() {
  static const std::string text = [] {
    json car = json::parse(testing::small_text());
    car["air"]["elements"]["radiator"]["to"] = "shroud";
    car["air"]["elements"]["fan"] = {
        {"kind", "fan"},
        {"from", "shroud"},
        {"to", "bay"},
        {"area", "600 cm2"},
        {"curve", {{"shutoff_pressure", "200 Pa"}, {"free_flow", "0.9 m3/s"}, {"shaft_speed", "2600 rpm"}}}};
    car["air"]["nodes"]["shroud"] = {{"kind", "plenum"}};
    car["variants"]["no fan"] = {{"air",
                                  {{"elements", {{"fan", nullptr}, {"radiator", {{"to", "bay"}}}}},
                                   {"nodes", {{"shroud", nullptr}}}}}};
    car["variants"]["large outlet"] = {{"air", {{"elements", {{"outlet", {{"area", "900 cm2"}}}}}}}};
    return car.dump();
  }();
  return text;
}

Alternative read(const std::string& name, const std::string& variant = "") {
  model::ReadOptions options;
  options.variant = variant;
  Result<model::Model> model = model::parse_model(car_with_variants(), "small.json", "", options);
  if (!model) throw std::runtime_error(describe(model.issues().front()));
  return {name, std::move(model).value()};
}

std::vector<Alternative> three() {
  return {read("base"), read("no fan", "no fan"), read("large outlet", "large outlet")};
}

std::string text_of(const std::vector<Alternative>& alternatives, const studies::StudyOptions& options = {}) {
  return compare_text(alternatives, studies::compare(alternatives, options).value());
}

json json_of(const std::vector<Alternative>& alternatives, const studies::StudyOptions& options = {}) {
  return json::parse(compare_json(alternatives, studies::compare(alternatives, options).value(), options));
}

/// The first line that begins with the label.
std::string line_of(const std::string& text, const std::string& label) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    if (line.find_first_not_of(' ') == line.find(label) && line.find(label) != std::string::npos) return line;
  return "";
}

std::size_t widest_of(const std::string& text) {
  std::size_t widest = 0;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const auto columns = std::count_if(
        line.begin(), line.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; });
    widest = std::max(widest, static_cast<std::size_t>(columns));
  }
  return widest;
}

TEST(CompareText, ShowsWhatMattersSideBySide) {
  const std::string text = text_of(three());
  for (const char* label :
       {"radiator.flow [kg/s]", "radiator.face_velocity [m/s]", "coolant.temperature [degC]",
        "car.cooling_drag [N]", "fan.power [W]", "fed ", "cool "})
    EXPECT_NE(line_of(text, label), "") << label << "\n" << text;
  // Both points.
  EXPECT_NE(text.find("\nfast: 180 km/h\n"), std::string::npos);
  EXPECT_NE(text.find("\nslow: 60 km/h\n"), std::string::npos);
  EXPECT_NE(line_of(text, "fan ").find("absent"), std::string::npos) << text;
  EXPECT_NE(text.find("ranking (tied: closer than the band of their difference)\n  fed (radiator.flow), most "
                      "margin first\n"),
            std::string::npos)
      << text;
  EXPECT_NE(text.find("cautions\n"), std::string::npos);
}

TEST(CompareText, NamesTheLargestDifferencesInWords) {
  const std::string text = text_of(three());
  const std::string slow = text.substr(text.find("\nslow:"));
  const std::string line = line_of(slow, "large outlet:");
  EXPECT_NE(line.find("radiator gets"), std::string::npos) << line;
  EXPECT_NE(line.find("kg/s more"), std::string::npos) << line;
  EXPECT_NE(line.find("outlet takes"), std::string::npos) << line;
  EXPECT_NE(line_of(slow, "no fan:").find("fan is absent, which helps with"), std::string::npos) << slow;
}

TEST(CompareText, FitsAPageWithManyAlternativesOfLongNames) {
  std::vector<Alternative> many{read("base")};
  for (int i = 0; i < 9; ++i)
    many.push_back(read(std::to_string(i) + " a very long name of an alternative that goes on",
                        i % 2 == 0 ? "no fan" : "large outlet"));
  const std::string text = text_of(many);
  EXPECT_LE(widest_of(text), 100u) << text;
  for (int i = 0; i < 9; ++i) EXPECT_NE(text.find(std::to_string(i) + " a very "), std::string::npos);
}

TEST(CompareText, WhatDoesNotDifferIsMarkedSo) {
  const std::string text = text_of({read("base"), read("copy")});
  EXPECT_EQ(line_of(text, "radiator.flow").back(), '=');
  EXPECT_NE(text.find("copy: no difference that is larger than its band"), std::string::npos);
  EXPECT_NE(text.find("met, tied\n"), std::string::npos);
}

TEST(CompareText, SaysWhereThereIsNoSolution) {
  const std::string text = text_of(three(), testing::hopeless());
  EXPECT_NE(text.find("no fan has no solution here: "), std::string::npos) << text;
  EXPECT_NE(text.find("not ranked, a point has no solution: large outlet"), std::string::npos);
  EXPECT_EQ(text.find("\n  no fan: "), std::string::npos);
}

TEST(CompareJson, HoldsPointsAndDifferences) {
  const json results = json_of(three());
  EXPECT_EQ(results.at("units"), "SI");
  EXPECT_EQ(results.at("baseline").at("name"), "base");
  EXPECT_EQ(results.at("baseline").at("points").size(), 2u);
  ASSERT_EQ(results.at("variants").size(), 2u);
  const json& variant = results.at("variants").at(1);
  EXPECT_EQ(variant.at("name"), "large outlet");
  ASSERT_EQ(variant.at("difference").size(), 2u);
  for (std::size_t p = 0; p < 2; ++p) {
    const auto flow = [p](const json& alternative) {
      return alternative.at("points").at(p).at("elements").at("radiator").at("flow").get<double>();
    };
    const json& difference = variant.at("difference").at(p);
    EXPECT_EQ(difference.at("name"), variant.at("points").at(p).at("name"));
    const json& compared = difference.at("quantities").at("radiator.flow");
    EXPECT_EQ(compared.at("baseline").get<double>(), flow(results.at("baseline")));
    EXPECT_EQ(compared.at("value").get<double>(), flow(variant));
    EXPECT_EQ(compared.at("change").get<double>(), flow(variant) - flow(results.at("baseline")));
    EXPECT_EQ(compared.at("weight"), "clear");
    EXPECT_GT(compared.at("sigma").get<double>(), 0.0);
  }
  ASSERT_GE(results.at("ranking").size(), 2u);
  EXPECT_EQ(results.at("ranking").at(0).at("requirement"), "fed");
}

TEST(CompareJson, WhatIsAbsentIsNullAndSaysSo) {
  const json results = json_of(three());
  const json& difference = results.at("variants").at(0).at("difference").at(1);
  const json& power = difference.at("quantities").at("fan.power");
  EXPECT_TRUE(power.at("baseline").is_number());
  EXPECT_TRUE(power.at("value").is_null());
  EXPECT_TRUE(power.at("change").is_null());
  bool seen = false;
  for (const json& line : difference.at("budget").at("radiator")) {
    if (line.at("element") != "fan") continue;
    seen = true;
    EXPECT_EQ(line.at("presence"), "absent");
    EXPECT_EQ(line.at("baseline_presence"), "on path");
    EXPECT_EQ(line.at("change").get<double>(), -line.at("baseline").get<double>());
  }
  EXPECT_TRUE(seen);
}

TEST(CompareJson, NoSolutionLeavesNoNumber) {
  const json results = json_of(three(), testing::hopeless());
  const json& difference = results.at("variants").at(0).at("difference").at(0);
  EXPECT_TRUE(difference.at("quantities").at("radiator.flow").at("change").is_null());
  EXPECT_EQ(difference.at("summary"), "");
  EXPECT_EQ(results.at("ranking").size(), 0u);
}

}  // namespace
}  // namespace corefeed::reports
