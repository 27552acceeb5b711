// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/json.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "corefeed/version.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using nlohmann::json;
using testing::changed;
using testing::solved;
using testing::Solved;

json results_of(const Solved& one, const studies::StudyOptions& options = {}) {
  return json::parse(study_json(one.model, one.study, options));
}

json read_file(const char* path) {
  std::ifstream file(path);
  return json::parse(file);
}

/// The invented car, read, solved and written once.
const json& car_results() {
  static const json results = [] {
    Result<model::Model> model = model::read_model(COREFEED_SOURCE_DIR "/tests/data/golden-model.json");
    EXPECT_TRUE(model.ok());
    return json::parse(study_json(model.value(), studies::run_study(model.value()).value(), {}));
  }();
  return results;
}

/// Every number of `expected` must stand in `found` under the same keys.
void expect_numbers(const json& expected, const json& found, const std::string& where) {
  if (expected.is_object()) {
    for (const auto& [key, value] : expected.items()) {
      ASSERT_TRUE(found.contains(key)) << where << "/" << key;
      expect_numbers(value, found.at(key), where + "/" + key);
    }
  } else if (expected.is_number()) {
    ASSERT_TRUE(found.is_number()) << where;
    // The reference solution was computed by another program, whose tolerance leaves about 1e-8.
    EXPECT_NEAR(found.get<double>(), expected.get<double>(), 1e-7 * std::abs(expected.get<double>()))
        << where;
  } else {
    EXPECT_EQ(found, expected) << where;
  }
}

TEST(StudyJson, HasTheReferenceSolutionOfTheInventedCar) {
  const json reference = read_file(COREFEED_SOURCE_DIR "/tests/data/golden-result.json").at("points").at(0);
  const json& point = car_results().at("points").at(0);
  EXPECT_EQ(point.at("name"), "fast straight");
  EXPECT_EQ(point.at("converged"), true);
  for (const char* part : {"elements", "nodes", "loops", "car"})
    expect_numbers(reference.at(part), point.at(part), part);
  const json& expected = reference.at("budget").at("radiator");
  const json& found = point.at("budget").at("radiator");
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    expect_numbers({{"loss", expected[i]["loss"]}, {"share", expected[i]["share"]}}, found[i], "budget");
    EXPECT_EQ(found[i].at("element"), expected[i].at("element"));
  }
}

TEST(StudyJson, HasTheSpreadsOfTheInventedCar) {
  const json reference = read_file(COREFEED_SOURCE_DIR "/tests/data/golden-result.json").at("points").at(0);
  const json& spreads = car_results().at("points").at(0).at("uncertainty");
  for (const char* quantity : {"radiator.flow", "coolant.temperature"}) {
    const double sigma = spreads.at(quantity).at("sigma").get<double>();
    const double expected = reference.at("uncertainty").at(quantity).at("sigma").get<double>();
    // Two programs with the same 1-sigmas; the steps of the reference's differences leave about 1e-6.
    EXPECT_NEAR(sigma, expected, 1e-5 * expected) << quantity;
    // Its random cars hold the bends of the curves too, which a linear spread leaves out: 1 % here.
    EXPECT_NEAR(sigma, reference.at("uncertainty").at(quantity).at("monte_carlo").get<double>(),
                0.01 * sigma);
  }
  // Every core's flow, every loop's temperature, and what is required, each once.
  EXPECT_EQ(spreads.size(), 4u);
}

TEST(StudyJson, BeginsWithWhatItIsAResultOf) {
  const Solved one = solved();
  const json results = results_of(one);
  EXPECT_EQ(results.at("corefeed"), version);
  EXPECT_EQ(results.at("units"), "SI");
  EXPECT_EQ(results.at("model"), "small.json");
  EXPECT_EQ(results.at("hash"), one.model.hash);
  EXPECT_EQ(results.at("options").at("tolerance"), 1e-10);
  EXPECT_EQ(results.at("options").at("strict"), false);
  EXPECT_EQ(results.at("points").size(), 2u);
}

TEST(StudyJson, KeepsEveryBitOfANumber) {
  const Solved one = solved();
  const json results = results_of(one);
  for (std::size_t i = 0; i < 2; ++i) {
    const json& point = results.at("points").at(i);
    const cooling::Solution& solution = one.study.points[i].solution;
    EXPECT_EQ(point.at("elements").at("radiator").at("flow").get<double>(), solution.value("radiator.flow"));
    EXPECT_EQ(point.at("loops").at("coolant").at("temperature").get<double>(),
              solution.value("coolant.temperature"));
    EXPECT_EQ(point.at("car").at("cooling_drag").get<double>(), solution.value("car.cooling_drag"));
  }
}

TEST(StudyJson, GathersThePiecesOfAPath) {
  const Solved one = solved();
  const json point = results_of(one).at("points").at(0);
  EXPECT_EQ(point.at("elements").size(), 4u);
  const json& nose = point.at("elements").at("nose");
  EXPECT_EQ(nose.at("kind"), "duct_path");
  EXPECT_EQ(nose.at("flow"), point.at("elements").at("radiator").at("flow"));
  const json& pieces = nose.at("pieces");
  ASSERT_EQ(pieces.size(), 2u);
  EXPECT_EQ(pieces[0].at("name"), "nose/1 duct");
  EXPECT_EQ(pieces[1].at("kind"), "diffuser");
  EXPECT_TRUE(pieces[1].contains("velocity"));
  const double sum =
      pieces[0].at("pressure_loss").get<double>() + pieces[1].at("pressure_loss").get<double>();
  EXPECT_NEAR(nose.at("pressure_loss").get<double>(), sum, 1e-12 * std::abs(sum));
  EXPECT_FALSE(point.at("nodes").contains("nose/1"));
  EXPECT_EQ(point.at("nodes").size(), 3u);
}

TEST(StudyJson, SharesOfTheVarianceAndSensitivitiesAreTheStrongest) {
  const Solved one = solved();
  const json point = results_of(one).at("points").at(0);
  const json& largest = point.at("uncertainty").at("radiator.flow").at("largest");
  ASSERT_EQ(largest.size(), 5u);
  double sum = 0.0;
  double before = 1.0;
  for (const json& part : largest) {
    const double share = part.at("share").get<double>();
    EXPECT_LE(share, before);
    before = share;
    sum += share;
  }
  EXPECT_LE(sum, 1.0 + 1e-12);
  EXPECT_GT(sum, 0.5);
  const json& sensitivity = point.at("sensitivity").at("radiator.flow");
  EXPECT_EQ(sensitivity.size(), 12u);
  // d ln m / d ln A of the vent, from two further solutions: central differences of 0.1 % leave 1e-5.
  const auto flow = [](const char* area) {
    return solved(changed(R"("area": "500 cm2")", std::string(R"("area": ")") + area + '"'))
        .study.points[0]
        .solution.value("radiator.flow")
        .value();
  };
  const double slope = (flow("500.5 cm2") - flow("499.5 cm2")) / 1e-4;
  const json& vent = sensitivity.at("outlet.area");
  EXPECT_NEAR(vent.at("derivative").get<double>(), slope, 1e-5 * slope);
  EXPECT_NEAR(vent.at("elasticity").get<double>(), slope * 0.05 / flow("500 cm2"), 1e-5);
}

TEST(StudyJson, JudgesAtEveryPointAndNamesTheWorst) {
  const Solved one = solved();
  const json results = results_of(one);
  ASSERT_EQ(results.at("requirements").size(), 2u);
  const json& worst = results.at("requirements").at(1);
  EXPECT_EQ(worst.at("name"), "cool");
  EXPECT_EQ(worst.at("point"), "slow");
  EXPECT_EQ(worst.at("relation"), "at_most");
  EXPECT_DOUBLE_EQ(worst.at("limit").get<double>(), 343.15);
  for (std::size_t i = 0; i < 2; ++i) {
    const json& point = results.at("points").at(i);
    const json& cool = point.at("requirements").at(1);
    EXPECT_EQ(cool.at("value"), point.at("loops").at("coolant").at("temperature"));
    EXPECT_DOUBLE_EQ(cool.at("margin").get<double>(), 343.15 - cool.at("value").get<double>());
    EXPECT_EQ(cool.at("sigma"), point.at("uncertainty").at("coolant.temperature").at("sigma"));
  }
}

std::string verdict(const std::string& limit, const studies::StudyOptions& options = {}) {
  const Solved one = solved(changed(R"("at_most": "70 degC")", limit), options);
  return results_of(one, options).at("verdict").get<std::string>();
}

TEST(StudyJson, GivesTheVerdictOfTheCheck) {
  EXPECT_EQ(verdict(R"("at_most": "400 degC")"), "met");
  EXPECT_EQ(verdict(R"("at_most": "30 degC")"), "not met");
  const Solved one = solved();
  const double hot = one.study.points[1].solution.value("coolant.temperature").value();
  const std::string close =
      "\"at_most\": \"" + units::write(hot + 0.1, units::Quantity::temperature, "degC") + "\"";
  EXPECT_EQ(verdict(close), "too close to call");
  EXPECT_EQ(verdict(close + R"(, "confidence": 0.9)"), "not met");
  studies::StudyOptions strict;
  strict.strict = true;
  EXPECT_EQ(verdict(close, strict), "not met");
}

TEST(StudyJson, ListsWarningsAndAssumptionsAtEveryPoint) {
  const Solved one = solved(changed(R"("face_area": "1500 cm2")", R"("face_area": "1900 cm2")"));
  const json results = results_of(one);
  for (const json& point : results.at("points")) {
    const json& warnings = point.at("warnings");
    const auto mismatch = std::find_if(warnings.begin(), warnings.end(), [](const json& warning) {
      return warning.at("code") == "area_mismatch";
    });
    ASSERT_NE(mismatch, warnings.end());
    EXPECT_EQ(mismatch->at("element"), "radiator");
    const json& assumptions = point.at("assumptions");
    const auto recovery = std::find_if(assumptions.begin(), assumptions.end(), [](const json& given) {
      return given.at("element") == "mouth" && given.at("parameter") == "recovery";
    });
    ASSERT_NE(recovery, assumptions.end());
    EXPECT_EQ(recovery->at("value"), 0.70);
    EXPECT_NE(recovery->at("source").get<std::string>().find("Mossman"), std::string::npos);
  }
}

TEST(StudyJson, WritesNullForWhatWasNotSolved) {
  const Solved one = solved(testing::small_text(), testing::hopeless());
  ASSERT_FALSE(one.study.points[0].solution.converged);
  const std::string text = study_json(one.model, one.study, testing::hopeless());
  EXPECT_EQ(text.find("nan"), std::string::npos);
  EXPECT_EQ(text.find("inf,"), std::string::npos);
  const json results = json::parse(text);
  EXPECT_TRUE(results.at("verdict").is_null());
  EXPECT_TRUE(results.at("requirements").at(0).at("value").is_null());
  EXPECT_TRUE(results.at("requirements").at(0).at("verdict").is_null());
  const json& point = results.at("points").at(0);
  EXPECT_EQ(point.at("converged"), false);
  EXPECT_FALSE(point.at("explanation").get<std::string>().empty());
  EXPECT_TRUE(point.at("elements").at("radiator").at("flow").is_null());
  EXPECT_TRUE(point.at("elements").at("nose").at("pressure_loss").is_null());
  EXPECT_TRUE(point.at("nodes").at("bay").at("total_pressure").is_null());
  EXPECT_TRUE(point.at("loops").at("coolant").at("temperature").is_null());
  EXPECT_TRUE(point.at("requirements").empty());
  EXPECT_TRUE(point.at("uncertainty").empty());
}

TEST(SizeJson, HasTheAnswerUnderThePublicNames) {
  const Solved one = solved();
  studies::Size size;
  size.parameter = "outlet.area";
  size.value = 0.0612;
  size.sigma = std::nan("");
  size.values = {0.0612};
  size.lowest = 0.01;
  size.highest = 0.25;
  size.quantity = 1.5;
  size.point = "fast";
  json answer = json::parse(size_json(one.model, size));
  EXPECT_EQ(answer.at("parameter"), "outlet.area");
  EXPECT_EQ(answer.at("value"), 0.0612);
  EXPECT_TRUE(answer.at("sigma").is_null());
  EXPECT_EQ(answer.at("reached"), false);
  EXPECT_TRUE(answer.at("limited_by").is_null());
  EXPECT_EQ(answer.at("point"), "fast");
  EXPECT_EQ(answer.at("quantity_value"), 1.5);
  EXPECT_EQ(answer.at("range"), (json{0.01, 0.25}));
  EXPECT_EQ(answer.at("values"), json::array({0.0612}));
  EXPECT_EQ(answer.at("hash"), one.model.hash);
  size.limited_by = "the inlet";
  answer = json::parse(size_json(one.model, size));
  EXPECT_EQ(answer.at("limited_by"), "the inlet");
}

}  // namespace
}  // namespace corefeed::reports
