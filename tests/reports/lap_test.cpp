// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/lap.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>

#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using nlohmann::json;
using testing::changed;

constexpr const char* trace = "time [s],speed [km/h]\n0,60\n30,180\n45,180\n60,60\n";

struct Driven {
  model::Model model;
  studies::LapStudy study;
};

std::string loop_with(const std::string& keys) {
  return changed(R"("heat_load": "40 kW")", R"("heat_load": "40 kW", "thermal_mass": "50 kJ/K")" + keys);
}

Driven driven(const std::string& text, std::optional<int> laps = std::nullopt) {
  Result<model::Model> model = model::parse_model(text, "small.json", "");
  EXPECT_TRUE(model.ok()) << describe(model.issues().front());
  const Result<model::Trace> read = model::parse_trace(trace, "lap.csv", model.value());
  EXPECT_TRUE(read.ok());
  studies::LapOptions options;
  options.laps = laps;
  Result<studies::LapStudy> study = studies::study_lap(model.value(), read.value(), options);
  EXPECT_TRUE(study.ok()) << describe(study.issues().front());
  return {std::move(model).value(), std::move(study).value()};
}

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(LapText, TellsWhatMattersOnOnePage) {
  const Driven lap = driven(loop_with(R"(, "temperature_limit": "60 degC")"));
  const std::string text = lap_text(lap.model, lap.study);
  EXPECT_TRUE(holds(text, "the lap that repeats itself"));
  EXPECT_TRUE(holds(text, "of 60 degC"));
  EXPECT_TRUE(holds(text, "heat in"));
  EXPECT_TRUE(holds(text, "cool "));
  EXPECT_TRUE(holds(text, "cautions"));
  EXPECT_TRUE(holds(text, "lap.csv"));
  EXPECT_LT(std::count(text.begin(), text.end(), '\n'), 45);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 110U) << line;
}

TEST(LapText, StintNamesTheLapOfThePeak) {
  const Driven stint = driven(loop_with(""), 3);
  EXPECT_TRUE(holds(lap_text(stint.model, stint.study), "lap 3, "));
  EXPECT_TRUE(holds(lap_text(stint.model, stint.study), "stint of 3 laps"));
}

TEST(LapJson, HoldsTheHistoryAndThePeak) {
  const Driven lap = driven(loop_with(R"(, "temperature_limit": "60 degC")"));
  const json out = json::parse(lap_json(lap.model, lap.study));
  EXPECT_EQ(out["units"], "SI");
  EXPECT_EQ(out["cyclic"], true);
  EXPECT_EQ(out["time"], (std::vector<double>{0, 30, 45, 60}));
  ASSERT_EQ(out["coolant.temperature"].size(), 4U);
  const double peak = out["peak"]["coolant"]["temperature"];
  for (const json& one : out["coolant.temperature"]) EXPECT_LE(one.get<double>(), peak);
  EXPECT_GT(out["peak"]["coolant"]["time"].get<double>(), 0.0);
  EXPECT_NEAR(out["limit"]["coolant"], 333.15, 1e-9);
  EXPECT_TRUE(out["time_above"]["coolant"].is_number());
  const json& energy = out["energy"]["coolant"];
  EXPECT_NEAR(energy["in"].get<double>(), 40e3 * 60.0, 1e-6);
  EXPECT_NEAR(energy["in"].get<double>(), energy["out"].get<double>() + energy["stored"].get<double>(), 1.0);
  EXPECT_EQ(out["requirements"][0]["name"], "cool");
  EXPECT_EQ(out["options"]["trace"], "lap.csv");
}

TEST(LapJson, IsTheSameEveryTime) {
  const std::string text = loop_with("");
  const Driven first = driven(text);
  const Driven second = driven(text);
  EXPECT_EQ(lap_json(first.model, first.study), lap_json(second.model, second.study));
}

/// Next to no air reaches the radiator.
std::string starved_car() {
  const std::string text = loop_with("");
  const std::string wide = R"("area": "500 cm2", "cp": -0.4)";
  std::string closed = text;
  return closed.replace(closed.find(wide), wide.size(), R"("area": "0.5 cm2", "cp": -0.4)");
}

TEST(LapJson, LapWithoutAnswerHasNoNumbers) {
  const Driven lap = driven(starved_car());
  ASSERT_TRUE(lap.study.ended.has_value());
  const json out = json::parse(lap_json(lap.model, lap.study));
  EXPECT_EQ(out["cyclic"], false);
  EXPECT_TRUE(out["peak"]["coolant"].is_null());
  EXPECT_TRUE(out["mean"]["coolant"].is_null());
  EXPECT_TRUE(out["coolant.temperature"].empty());
  const std::string text = lap_text(lap.model, lap.study);
  EXPECT_TRUE(holds(text, "no answer"));
  EXPECT_TRUE(holds(text, "radiator gets"));
  EXPECT_FALSE(holds(text, "peak"));
  const std::string table = lap_csv(lap.model, lap.study);
  EXPECT_EQ(std::count(table.begin(), table.end(), '\n'), 1);
}

TEST(LapCsv, HasARowForEachRowOfTheTraceAndLap) {
  const Driven stint =
      driven(loop_with(R"(, "thermostat": {"opens_at": "40 degC", "fully_open_at": "50 degC"})"), 2);
  std::istringstream table(lap_csv(stint.model, stint.study));
  std::string line;
  std::getline(table, line);
  EXPECT_EQ(line, "time [s],lap,speed [km/h],coolant.temperature [degC],coolant.core_share");
  std::vector<std::string> rows;
  while (std::getline(table, line)) rows.push_back(line);
  ASSERT_EQ(rows.size(), 7U);
  EXPECT_EQ(rows[0], "0,1,60,20,0");
  EXPECT_TRUE(rows[3].starts_with("60,1,60,"));
  EXPECT_TRUE(rows[4].starts_with("90,2,180,"));
  EXPECT_TRUE(rows[6].starts_with("120,2,60,"));
}

}  // namespace
}  // namespace corefeed::reports
