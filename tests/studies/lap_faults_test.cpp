// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "corefeed/studies/lap.hpp"
#include "tests/support/golden.hpp"

/// What a lap refuses and what it warns of, in its own words.
namespace corefeed::studies {
namespace {

using nlohmann::ordered_json;

constexpr const char* steady_trace = "time [s],speed [km/h]\n0,180\n60,180\n";

ordered_json warming_car() {
  ordered_json document = corefeed::testing::golden_document();
  document["loops"]["coolant"]["thermal_mass"] = "60 kJ/K";
  document["loops"]["oil"]["thermal_mass"] = "12 kJ/K";
  return document;
}

Result<LapStudy> lap_of(const model::Model& model, const std::string& text = steady_trace,
                        const LapOptions& options = {}) {
  const Result<model::Trace> trace = model::parse_trace(text, "lap.csv", model);
  EXPECT_TRUE(trace.ok()) << describe(trace.issues().front());
  return study_lap(model, trace.value(), options);
}

Result<LapStudy> lap_of(const ordered_json& document, const std::string& text = steady_trace,
                        const LapOptions& options = {}) {
  return lap_of(corefeed::testing::read_text(document.dump()), text, options);
}

/// The only issue of a question that is refused.
std::string refusal_of(const Result<LapStudy>& study) {
  if (study) return "answered";
  EXPECT_EQ(study.issues().size(), 1u);
  return study.issues().front().code + ": " + study.issues().front().text;
}

/// The warning or note of that code; empty if there is none.
std::string told(const Result<LapStudy>& study, const std::string& code) {
  EXPECT_TRUE(study.ok());
  for (const Issue& issue : study.value().warnings) {
    if (issue.code == code) return issue.text;
  }
  return "";
}

TEST(LapFaults, AModelWithoutLoopsHasNoTemperature) {
  ordered_json document = warming_car();
  document.erase("loops");
  for (const char* core : {"radiator", "oil_cooler"}) {
    for (const char* key : {"loop", "air_conductance", "liquid_conductance", "arrangement"})
      document["air"]["elements"][core].erase(key);
  }
  auto& asked = document["requirements"];
  asked.erase(3);
  asked.erase(2);
  const Result<LapStudy> study = lap_of(document);
  EXPECT_EQ(refusal_of(study), "no_loop: the model has no loop whose temperature could change");
  EXPECT_EQ(study.issues().front().place.file, "test.json");
  EXPECT_EQ(study.issues().front().status, Status::input);
}

TEST(LapFaults, ALoopOfElementsIsNotFollowed) {
  const Result<model::Model> model =
      model::read_model(COREFEED_SOURCE_DIR "/geometry_samples/oil_loop.corefeed");
  ASSERT_TRUE(model.ok()) << describe(model.issues().front());
  const Result<LapStudy> study = lap_of(model.value());
  ASSERT_FALSE(study.ok());
  const auto issue = std::ranges::find(study.issues(), std::string("loop_is_network"), &Issue::code);
  ASSERT_NE(issue, study.issues().end());
  EXPECT_EQ(issue->text, "a lap follows loops of a given \"flow\"; the loop \"" +
                             model.value().loops.front().name +
                             "\" has elements of its own: give its flow instead");
  EXPECT_EQ(issue->place.pointer, model.value().loops.front().pointer);
  EXPECT_GT(issue->place.line, 0);
}

TEST(LapFaults, FiveSwitchedFansAreTooMany) {
  ordered_json document = warming_car();
  auto& elements = document["air"]["elements"];
  for (const char* name : {"fan", "fan_2", "fan_3", "fan_4", "fan_5"}) {
    elements[name] = elements["fan"];
    document["points"][0]["fans"][name] = "freewheeling";
    document["loops"]["coolant"]["fan_control"][name] = {{"on_above", "84 degC"}, {"off_below", "79 degC"}};
  }
  const Result<LapStudy> study = lap_of(document);
  EXPECT_EQ(refusal_of(study),
            "too_many_settings: the fans go through 32 combinations of states; expected at most 16");
  EXPECT_EQ(study.issues().front().status, Status::limit);
}

TEST(LapFaults, TheSizeOfAStintIsBounded) {
  std::string rows = "time [s],speed [km/h]\n";
  for (int i = 0; i < 3000; ++i) rows += std::to_string(i) + ",100\n";
  LapOptions options;
  options.laps = 1000;
  EXPECT_EQ(refusal_of(lap_of(warming_car(), rows, options)),
            "too_many_rows: 1000 laps of 3000 rows are 3000000 rows; expected at most 2000000");
}

TEST(LapFaults, AThermostatThatNeverOpensIsNoted) {
  ordered_json document = warming_car();
  document["loops"]["coolant"]["thermostat"] = {
      {"opens_at", "140 degC"}, {"fully_open_at", "150 degC"}, {"lag", "6 s"}};
  document["loops"]["coolant"]["heat_load"] = "1 kW";
  LapOptions options;
  options.laps = 1;
  const Result<LapStudy> study = lap_of(document, steady_trace, options);
  EXPECT_EQ(told(study, "closed_thermostat"),
            "the thermostat of coolant never opens: coolant stays below 140 degC");
}

/// At a crawl the fan goes on and off in a rhythm of its own, whatever the lap's.
TEST(LapFaults, ALapThatDoesNotRepeatItselfIsNoSolution) {
  ordered_json document = warming_car();
  document["loops"]["coolant"]["fan_control"]["fan"] = {{"on_above", "88 degC"}, {"off_below", "83 degC"}};
  const Result<LapStudy> study = lap_of(document,
                                        "time [s],speed [km/h],heat_load.coolant [kW],heat_load.oil [kW]\n"
                                        "0,30,14,1\n300,30,14,1\n");
  ASSERT_TRUE(study.ok());
  EXPECT_FALSE(study.value().cyclic);
  EXPECT_EQ(study.value().status, Status::no_solution);
  const std::string text = told(study, "not_cyclic");
  EXPECT_EQ(text.substr(0, 6), "after ") << text;
  EXPECT_NE(text.find(" laps the temperatures still change by "), std::string::npos) << text;
  EXPECT_NE(text.find("; what is given is the last lap, and --laps N follows a stint from the start"),
            std::string::npos);
}

TEST(LapFaults, ColumnsThatNothingReadsAreNoted) {
  const Result<LapStudy> study =
      lap_of(warming_car(), "time [s],speed [km/h],ride_height [mm]\n0,180,40\n60,180,40\n");
  EXPECT_EQ(told(study, "unused_column"), "nothing in the model depends on the column \"ride_height\"");
}

}  // namespace
}  // namespace corefeed::studies
