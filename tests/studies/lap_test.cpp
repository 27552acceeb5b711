// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/lap.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "corefeed/studies/lap_network.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

using Change = std::function<void(ordered_json&)>;

/// The golden car with the thermal masses of an engine and its oil.
model::Model car(const Change& change = {}) {
  ordered_json document = golden_document();
  document["loops"]["coolant"]["thermal_mass"] = "60 kJ/K";
  document["loops"]["oil"]["thermal_mass"] = "12 kJ/K";
  if (change) change(document);
  return read_text(document.dump());
}

model::Trace trace_of(const model::Model& model, const std::string& text) {
  const Result<model::Trace> trace = model::parse_trace(text, "lap.csv", model);
  EXPECT_TRUE(trace.ok()) << describe(trace.issues().front());
  return trace.ok() ? trace.value() : model::Trace();
}

constexpr const char* straight = "time [s],speed [km/h]\n0,180\n60,180\n";

/// Slow and fast in turn, with less load where it is slow.
std::string hill(int seconds = 90) {
  std::string text = "time [s],speed [km/h],heat_load.coolant [kW],heat_load.oil [kW]\n";
  for (int i = 0; i <= seconds; ++i) {
    const double wave = std::sin(6.283185307179586 * i / seconds);
    text += std::to_string(i) + "," + std::to_string(110.0 + 60.0 * wave) + "," +
            std::to_string(40.0 + 15.0 * wave) + "," + std::to_string(7.0 + 2.0 * wave) + "\n";
  }
  return text;
}

LapStudy studied(const model::Model& model, const std::string& text, const LapOptions& options = {}) {
  Result<LapStudy> study = study_lap(model, trace_of(model, text), options);
  EXPECT_TRUE(study.ok()) << describe(study.issues().front());
  return study.ok() ? std::move(study).value() : LapStudy();
}

std::string code_of(const model::Model& model, const std::string& text, const LapOptions& options = {}) {
  const Result<LapStudy> study = study_lap(model, trace_of(model, text), options);
  return study ? "none" : study.issues().front().code;
}

LapOptions stint_of(int laps) {
  LapOptions options;
  options.laps = laps;
  return options;
}

const Issue* warning(const LapStudy& study, const std::string& code) {
  for (const Issue& issue : study.warnings) {
    if (issue.code == code) return &issue;
  }
  return nullptr;
}

TEST(LapStudy, ConstantDriveComesToTheSteadySolution) {
  const model::Model model = car();
  const LapStudy study = studied(model, straight);
  const PointResult steady = solve_point(model, model.points.front(), {});
  EXPECT_TRUE(study.cyclic);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(study.loops[i].result.peak, steady.solution.loops[i].temperature, 0.05)
        << study.loops[i].name;
    EXPECT_NEAR(*study.loops[i].steady, steady.solution.loops[i].temperature, 1e-6);
  }
  EXPECT_NEAR(study.distance, 3000.0, 1e-9);
  EXPECT_NEAR(study.mean_speed, 50.0, 1e-12);
  EXPECT_LT(study.error.largest, 0.002);
}

TEST(LapStudy, FollowsTheFullNetwork) {
  // The same lap by Heun's method in steps of 1 s, the whole network solved at each, the heat never tabled.
  const model::Model model = car();
  const model::Trace trace = trace_of(model, hill());
  const LapStudy study = studied(model, hill(), stint_of(1));
  const cooling::SolveOptions solver;
  const LapNetwork network(model, model.points.front(), trace, solver);
  std::vector<double> temperature{model.temperature, model.temperature};
  const std::vector<double> mass{60e3, 12e3};
  const auto slopes = [&](std::size_t row, const std::vector<double>& at) {
    std::vector<double> heat = network.heat({0, trace.speed[row], 0.0, at, {1.0, 1.0}}).value();
    heat[0] = (trace.heat_load.at("coolant")[row] - heat[0]) / mass[0];
    heat[1] = (trace.heat_load.at("oil")[row] - heat[1]) / mass[1];
    return heat;
  };
  for (std::size_t row = 0; row + 1 < trace.time.size(); ++row) {
    const std::vector<double> first = slopes(row, temperature);
    const std::vector<double> second =
        slopes(row + 1, {temperature[0] + first[0], temperature[1] + first[1]});
    for (std::size_t i = 0; i < 2; ++i) temperature[i] += 0.5 * (first[i] + second[i]);
  }
  for (std::size_t i = 0; i < 2; ++i)
    EXPECT_NEAR(study.rows.back().temperature[i], temperature[i], 0.1) << study.loops[i].name;
}

TEST(LapStudy, EnergyIsKept) {
  const LapStudy study = studied(car(), hill());
  ASSERT_TRUE(study.cyclic);
  EXPECT_LT(study.change, 0.2);
  for (const LoopOverLap& loop : study.loops) {
    EXPECT_NEAR(loop.result.heat_in, loop.result.heat_out + loop.result.stored, 1e-6 * loop.result.heat_in);
    EXPECT_GT(loop.result.peak, loop.result.mean);
    EXPECT_GE(loop.peak_distance, 0.0);
    EXPECT_LE(loop.peak_distance, study.distance);
  }
  // 90 s of a mean of 40 kW.
  EXPECT_NEAR(study.loops[0].result.heat_in, 3600e3, 1.0);
  EXPECT_LT(study.error.largest, 0.01);
}

TEST(LapStudy, StintBeginsAtTheStartTemperatures) {
  const model::Model model =
      car([](ordered_json& document) { document["loops"]["oil"]["start_temperature"] = "70 degC"; });
  const LapStudy study = studied(model, hill(), stint_of(3));
  EXPECT_TRUE(study.stint);
  EXPECT_EQ(study.laps, 3);
  EXPECT_EQ(study.rows.front().temperature[0], model.temperature);
  EXPECT_DOUBLE_EQ(study.rows.front().temperature[1], 343.15);
  EXPECT_EQ(study.time.size(), 3 * 90U + 1);
  EXPECT_EQ(study.time.back(), 270.0);
  EXPECT_GT(study.loops[0].peak_lap, 1);
  double mean = 0.0;
  for (std::size_t i = 1; i < study.rows.size(); ++i)
    mean += 0.5 * (study.rows[i].temperature[0] + study.rows[i - 1].temperature[0]) / 270.0;
  EXPECT_NEAR(study.loops[0].result.mean, mean, 0.01);
}

TEST(LapStudy, PeakIsJudged) {
  const LapStudy met = studied(car(), straight);
  ASSERT_EQ(met.requirements.size(), 2U);
  EXPECT_EQ(met.status, Status::done);
  EXPECT_EQ(met.requirements[0].judgments.front().verdict, Verdict::met);
  EXPECT_NEAR(met.requirements[0].judgments.front().sigma, 7.1, 0.8);  // as at the steady point
  const model::Model strict = car([](ordered_json& document) {
    for (auto& one : document["requirements"]) {
      if (one["quantity"] == "coolant.temperature") one["at_most"] = "70 degC";
    }
  });
  const LapStudy missed = studied(strict, straight);
  EXPECT_EQ(missed.status, Status::requirement_not_met);
  EXPECT_TRUE(missed.requirements[0].fails);
  // Without a limit of its own a loop is held against its requirement.
  EXPECT_NEAR(*missed.loops[0].limit, 343.15, 1e-9);
  EXPECT_NEAR(missed.loops[0].result.time_above, 60.0, 1e-6);
}

TEST(LapStudy, StarvedCoreIsNamedAndGivesNoTemperature) {
  const model::Model model =
      car([](ordered_json& document) { document["air"]["elements"]["flank_inlet"]["area"] = "0.3 cm2"; });
  const LapStudy study = studied(model, straight);
  EXPECT_TRUE(study.ended.has_value());
  EXPECT_EQ(study.status, Status::no_solution);
  const Issue* issue = warning(study, "starved");
  ASSERT_NE(issue, nullptr);
  EXPECT_EQ(issue->place.pointer, "oil");
  EXPECT_NE(issue->text.find("oil_cooler gets"), std::string::npos) << issue->text;
  for (const JudgedRequirement& judged : study.requirements) EXPECT_TRUE(judged.judgments.empty());
}

/// Fan by the coolant, thermostat in the coolant loop.
void controlled(ordered_json& document) {
  auto& coolant = document["loops"]["coolant"];
  coolant["fan_control"]["fan"] = {{"on_above", "84 degC"}, {"off_below", "79 degC"}};
  coolant["thermostat"] = {{"opens_at", "70 degC"}, {"fully_open_at", "82 degC"}, {"lag", "6 s"}};
}

TEST(LapStudy, FanAndThermostatOfTheModelWork) {
  const LapStudy study = studied(car(controlled), hill(), stint_of(6));
  ASSERT_EQ(study.fans.size(), 1U);
  EXPECT_EQ(study.fans[0].name, "fan");
  EXPECT_TRUE(study.loops[0].throttled);
  EXPECT_EQ(study.loops[0].result.least_share, 0.0);
  EXPECT_GT(study.loops[0].result.largest_share, 0.5);
  EXPECT_LT(study.error.largest, 0.01) << study.error.loop << " at " << study.error.time;
  EXPECT_EQ(warning(study, "table_error"), nullptr);
  // The cold engine warms at its load as long as the thermostat is closed.
  const double in = 45e3 * 20.0;
  const double expected = study.rows.front().temperature[0] + in / 60e3;
  EXPECT_NEAR(study.rows[20].temperature[0], expected, 3.0);
  EXPECT_EQ(study.rows[20].lift[0], 0.0);
}

TEST(LapStudy, SwitchedFanRunsAtLowSpeedAndKeepsTheCoolantDown) {
  const std::string crawl =
      "time [s],speed [km/h],heat_load.coolant [kW],heat_load.oil [kW]\n0,30,14,1\n300,30,14,1\n";
  const auto hot = [](ordered_json& document) {
    document["loops"]["coolant"]["fan_control"]["fan"] = {{"on_above", "88 degC"}, {"off_below", "83 degC"}};
  };
  const LapStudy study = studied(car(hot), crawl, stint_of(4));
  EXPECT_GT(study.fans[0].result.switched, 2);
  // Between the two thresholds, whatever the load.
  EXPECT_NEAR(study.loops[0].result.peak, 361.15, 1e-3);
  EXPECT_LT(study.fans[0].result.time_on, 4 * 300.0);
}

TEST(LapStudy, FanThatIsRemovedIsNotSwitched) {
  const model::Model model = car([](ordered_json& document) {
    controlled(document);
    document["points"][0]["fans"]["fan"] = "removed";
  });
  const LapStudy study = studied(model, straight, stint_of(1));
  EXPECT_TRUE(study.fans.empty());
  EXPECT_NE(warning(study, "fan_removed"), nullptr);
}

TEST(LapStudy, TracedFanAndYawAreFollowed) {
  const model::Model model =
      car([](ordered_json& document) { document["air"]["elements"]["nose_inlet"]["facing"] = "0 deg"; });
  const std::string text =
      "time [s],speed [km/h],yaw "
      "[deg],fans.fan\n0,120,0,freewheeling\n30,100,25,on\n60,110,10,stopped\n90,120,0,stopped\n";
  const LapStudy study = studied(model, text);
  EXPECT_LT(study.error.largest, 0.01);
  EXPECT_TRUE(study.cyclic);
}

TEST(LapStudy, OpenLapIsToldOnlyWhereItIsRepeated) {
  const std::string open = "time [s],speed [km/h]\n0,60\n60,180\n";
  EXPECT_NE(warning(studied(car(), open), "open_lap"), nullptr);
  EXPECT_EQ(warning(studied(car(), open, stint_of(1)), "open_lap"), nullptr);
}

TEST(LapStudy, WrongQuestionsAreRefused) {
  const model::Model bare = read_text(golden_document().dump());
  EXPECT_EQ(code_of(bare, straight), "missing_key");
  LapOptions nowhere;
  nowhere.point = "nowhere";
  EXPECT_EQ(code_of(car(), straight, nowhere), "unknown_point");
  std::string rows = "time [s],speed [km/h]\n";
  for (int i = 0; i < 3000; ++i) rows += std::to_string(i) + ",100\n";
  EXPECT_EQ(code_of(car(), rows, stint_of(1000)), "too_many_rows");
}

}  // namespace
}  // namespace corefeed::studies
