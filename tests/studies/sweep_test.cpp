// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/sweep.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "corefeed/studies/in_order.hpp"
#include "corefeed/studies/study.hpp"
#include "corefeed/studies/sweep_parts.hpp"
#include "tests/support/golden.hpp"

/// What a sweep gives against solutions of the model with the row's numbers, each on its own.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_file;
using corefeed::testing::read_text;
using Json = nlohmann::ordered_json;

/// Both are solved to 1e-10 of typical flows and heads by Newton's method, which overshoots that by far.
constexpr double agreement = 1e-9;

class InFolder : public ::testing::Test {
 protected:
  InFolder() { std::filesystem::create_directories(folder_); }
  ~InFolder() override { std::filesystem::remove_all(folder_); }

  std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name) << text;
    return (folder_ / name).string();
  }
  model::Model read(const Json& document) const {
    const auto model = model::parse_model(document.dump(), "test.json", folder_.string());
    if (!model) throw std::runtime_error(describe(model.issues().front()));
    return model.value();
  }

  std::filesystem::path folder_ =
      std::filesystem::temp_directory_path() / ("corefeed_sweep_" + std::to_string(::getpid()));
};

SweepPlan planned(const model::Model& model, SweepQuestion question) {
  Result<SweepPlan> plan = SweepPlan::make(model, std::move(question));
  if (!plan) throw std::runtime_error(describe(plan.issues().front()));
  return std::move(plan).value();
}

SweepAxis axis(const model::Model& model, const std::string& text) {
  const Result<SweepAxis> read = read_axis(model, text);
  if (!read) throw std::runtime_error(describe(read.issues().front()));
  return read.value();
}

/// The model with the numbers of a row, solved as `solve` does it.
PointResult solution_of(const SweepPlan& plan, std::size_t row) {
  model::Model changed = plan.model();
  for (std::size_t i = 0; i < plan.inputs().size(); ++i) {
    const auto parameter = model::find_parameter(changed, plan.inputs()[i].name);
    model::set_parameter(changed, parameter.value(), plan.input(row, i));
  }
  const auto& points = changed.points;
  const auto point = std::find_if(points.begin(), points.end(),
                                  [&](const model::Point& one) { return one.name == plan.point(row); });
  return solve_point(changed, *point, plan.question().solver);
}

/// Nothing of the model's solver looks whether numbers contradict each other: its reader does.
bool contradicts(const std::string& reason) {
  return reason.starts_with("the numbers contradict each other: ");
}

bool is_answer(const cooling::Solution& solution) {
  return solution.converged && solution.further.empty() && solution.stable;
}

/// How many rows have a solution; each has to be the one of its model.
std::size_t expect_solutions(const SweepPlan& plan, const SweptRows& swept) {
  std::size_t solved = 0;
  const std::size_t width = plan.shown().size();
  EXPECT_EQ(swept.reasons.size(), plan.rows());
  for (std::size_t row = 0; row < plan.rows(); ++row) {
    if (contradicts(swept.reasons[row])) continue;
    const PointResult expected = solution_of(plan, row);
    EXPECT_EQ(swept.reasons[row].empty(), is_answer(expected.solution))
        << "row " << row << " " << swept.reasons[row] << " / " << expected.solution.explanation;
    if (!swept.reasons[row].empty()) {
      EXPECT_TRUE(std::isnan(swept.values[row * width]));
      continue;
    }
    ++solved;
    for (std::size_t i = 0; i < width; ++i) {
      const double value = expected.solution.value(plan.shown()[i].name).value();
      EXPECT_NEAR(swept.values[row * width + i], value, agreement * std::abs(value))
          << plan.inputs()[0].name << " = " << plan.input(row, 0) << ", point " << plan.point(row) << ": "
          << plan.shown()[i].name;
    }
  }
  return solved;
}

std::vector<std::string> parameter_names(const model::Model& model) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& name) {
    if (model::find_parameter(model, name)) names.push_back(name);
  };
  for (const model::Element& element : model.elements) {
    for (const losses::Key& key : element.numbers.kind->keys) add(element.name + "." + std::string(key.name));
  }
  for (const model::Loop& loop : model.loops) {
    for (const char* key : {".flow", ".heat_load"}) add(loop.name + key);
  }
  for (const char* name : {"ambient.temperature", "ambient.pressure", "ambient.relative_humidity", "speed",
                           "yaw", "engine_speed", "ride_height"})
    add(name);
  return names;
}

/// Three values around the present one, within bounds.
std::vector<double> values_around(const model::Model& model, const model::Parameter& parameter) {
  const double now = model::parameter_value(model, parameter);
  const double step = now == 0.0 ? 0.02 : 0.03 * now;
  std::vector<double> values;
  for (const double value : {now - step, now, now + step}) {
    const bool low = parameter.above_lowest ? value <= parameter.lowest : value < parameter.lowest;
    if (!low && value <= parameter.highest) values.push_back(value);
  }
  return values;
}

/// Sweeps over every number that the model may have, one after the other; how many that were.
std::size_t expect_every_parameter(const model::Model& model) {
  std::size_t swept = 0;
  for (const std::string& name : parameter_names(model)) {
    const auto parameter = model::find_parameter(model, name).value();
    const std::vector<double> values = values_around(model, parameter);
    if (values.empty()) continue;
    const Result<SweepPlan> plan = SweepPlan::make(model, {.axes = {{{name}, values}}});
    // A number that may not stand beside those that do.
    if (!plan) {
      EXPECT_TRUE(plan.issues().front().code == "conflicting_keys" ||
                  plan.issues().front().code == "missing_key")
          << describe(plan.issues().front());
      continue;
    }
    expect_solutions(plan.value(), sweep(plan.value(), 1));
    ++swept;
  }
  return swept;
}

using SweepEquals = InFolder;

/// Points that give their own heat, pressure, fans; pressures from runs of CFD over ride height and yaw.
TEST_F(SweepEquals, SolutionsForEveryNumberOfTheGoldenCar) {
  write("cp.csv",
        "opening,ride_height [mm],yaw [deg],cp\nfender_vent,30,0,-0.40\nfender_vent,30,4,-0.36\n"
        "fender_vent,50,0,-0.44\nfender_vent,50,4,-0.38\n");
  Json document = golden_document();
  document["surface_pressure"] = {{"table", "cp.csv"}};
  document["points"] = Json::parse(R"([
    {"name": "plain", "speed": "180 km/h", "ride_height": "40 mm", "yaw": "2 deg"},
    {"name": "own numbers", "speed": "100 km/h", "ride_height": "35 mm", "yaw": "1 deg",
     "heat_load": {"coolant": "30 kW"}, "cp": {"floor_gap": -0.1, "fender_vent": -0.3}},
    {"name": "windmill", "speed": "150 km/h", "ride_height": "35 mm", "fans": {"fan": "freewheeling"}}])");
  EXPECT_GT(expect_every_parameter(read(document)), 80U);
}

TEST_F(SweepEquals, SolutionsForEveryNumberOfCoresInZones) {
  Json document = Json::parse(read_file(COREFEED_SOURCE_DIR "/tests/data/stack-demo.corefeed"));
  document["air"]["elements"]["half"] = {
      {"kind", "core"}, {"from", "front"}, {"to", "box"}, {"part_of", "radiator"}, {"share", 0.3}};
  EXPECT_GT(expect_every_parameter(read(document)), 40U);
}

TEST_F(SweepEquals, SolutionsForEveryNumberOfLoopsThatAreNetworks) {
  for (const char* name : {"oil_loop", "oil_cooler_bench"}) {
    auto model =
        model::read_model(std::string(COREFEED_SOURCE_DIR "/geometry_samples/") + name + ".corefeed");
    ASSERT_TRUE(model.ok());
    // One point says it all: a solution of these takes longer.
    model.value().points.resize(1);
    EXPECT_GT(expect_every_parameter(model.value()), 40U) << name;
  }
}

/// A car whose air divides: two legs that read each other, several states thinkable.
Json divided_car() {
  Json document = golden_document();
  auto& elements = document["air"]["elements"];
  elements["tee"] = Json::parse(R"({"kind": "junction",
    "ports": {"common": "tee_front", "straight": "engine_bay", "branch": "side"},
    "areas": {"common": "60 cm2", "straight": "60 cm2", "branch": "30 cm2"}, "angle": "60 deg"})");
  elements["side_mouth"] =
      Json::parse(R"({"kind": "inlet", "to": "tee_front", "area": "60 cm2", "cp": 0.5, "recovery": 0.9})");
  elements["side_vent"] = Json::parse(
      R"({"kind": "vent", "from": "side", "area": "30 cm2", "cp": -0.2, "discharge_coefficient": 0.6})");
  return document;
}

TEST_F(SweepEquals, SolutionsOfACarWithAJunction) {
  const model::Model model = read(divided_car());
  const SweepPlan plan = planned(
      model, {.axes = {axis(model, "tee.areas.branch=20cm2:40cm2:3"), axis(model, "speed=90km/h,180km/h")}});
  EXPECT_EQ(expect_solutions(plan, sweep(plan, 2)), 6U);
}

TEST_F(SweepEquals, SolutionsWhereAllKindsOfNumbersCross) {
  const model::Model model = read(golden_document());
  SweepQuestion question;
  for (const char* text : {"fender_vent.area=250cm2:800cm2:4", "ambient.temperature=10degC:40degC:3",
                           "speed=30km/h:250km/h:5", "coolant.heat_load=20kW,70kW"})
    question.axes.push_back(axis(model, text));
  question.shown = {"radiator.flow", "coolant.temperature", "car.cooling_drag", "radiator.heat",
                    "fender_vent.velocity_ratio"};
  const SweepPlan plan = planned(model, question);
  EXPECT_EQ(plan.rows(), 120U);
  EXPECT_GT(expect_solutions(plan, sweep(plan, 1)), 90U);
}

/// A fan whose pressure dips blows against a pressure: with several states a row has no answer.
TEST_F(SweepEquals, RowsWithSeveralStatesHaveNone) {
  const model::Model model = read(Json::parse(R"({
    "corefeed": 1, "ambient": {"temperature": "20 degC", "pressure": "100 kPa"}, "loops": {},
    "air": {
      "elements": {
        "fan": {"kind": "fan", "from": "before", "to": "box", "area": "500 cm2", "curve": {"points": [
          {"volume_flow": "0 m3/s", "pressure_rise": "200 Pa"}, {"volume_flow": "0.25 m3/s", "pressure_rise": "100 Pa"},
          {"volume_flow": "0.5 m3/s", "pressure_rise": "180 Pa"}, {"volume_flow": "1 m3/s", "pressure_rise": "0 Pa"}],
          "density": "1.2 kg/m3"}},
        "screen": {"kind": "loss", "from": "box", "to": "behind", "area": "500 cm2", "loss": 0.1}},
      "nodes": {"before": {"kind": "fixed_pressure", "total_pressure": "0 Pa"},
                "behind": {"kind": "fixed_pressure", "total_pressure": "140 Pa"}}},
    "points": [{"name": "stand", "speed": "0 km/h"}]})"));
  const SweepPlan plan =
      planned(model, {.axes = {axis(model, "screen.loss=0.1,0.2,30,60")}, .shown = {"fan.flow"}});
  const SweptRows swept = sweep(plan, 2);
  EXPECT_EQ(expect_solutions(plan, swept), 2U);
  EXPECT_EQ(swept.reasons[0], "3 operating points are possible");
  EXPECT_EQ(swept.reasons[3], "");
}

/// Too little air: Newton's method ends, but no loop bears what it finds.
TEST_F(SweepEquals, RowsThatRunAwayHaveNone) {
  Json document = golden_document();
  document["points"][0]["fans"] = {{"fan", "stopped"}};
  const model::Model model = read(document);
  const SweepPlan plan = planned(model, {.axes = {axis(model, "speed=0km/h:180km/h:10")}});
  const SweptRows swept = sweep(plan, 1);
  expect_solutions(plan, swept);
  EXPECT_NE(swept.reasons[0].find("has no steady temperature"), std::string::npos) << swept.reasons[0];
  EXPECT_EQ(swept.reasons[9], "");
}

TEST_F(SweepEquals, RowsThatContradictThemselvesHaveNone) {
  const model::Model model = read(golden_document());
  const auto& elements = model.elements;
  const auto diffuser = std::find_if(elements.begin(), elements.end(), [](const model::Element& one) {
    return one.numbers.kind->name == "diffuser";
  });
  ASSERT_NE(diffuser, elements.end());
  const SweepPlan plan =
      planned(model, {.axes = {axis(model, diffuser->name + ".inlet_area=300cm2,5000cm2")}});
  const SweptRows swept = sweep(plan, 1);
  EXPECT_EQ(swept.reasons[0], "");
  EXPECT_TRUE(contradicts(swept.reasons[1])) << swept.reasons[1];
  EXPECT_NE(swept.reasons[1].find(diffuser->name), std::string::npos);
}

SweepPlan wide_plan(const model::Model& model) {
  return planned(model, {.axes = {axis(model, "fender_vent.area=250cm2:800cm2:40"),
                                  axis(model, "ambient.temperature=10degC,25degC,40degC"),
                                  axis(model, "speed=20km/h:250km/h:11")}});
}

TEST(Sweep, GivesTheSameBitsForAnyThreadsAndAnyOrder) {
  const model::Model model = read_text(golden_document().dump());
  const SweepPlan plan = wide_plan(model);
  const SweptRows one = sweep(plan, 1);
  ASSERT_GT(plan.blocks(), 3U);
  for (const int jobs : {2, 5}) {
    const SweptRows many = sweep(plan, jobs);
    EXPECT_EQ(many.reasons, one.reasons);
    EXPECT_TRUE(std::equal(many.values.begin(), many.values.end(), one.values.begin(), one.values.end(),
                           [](double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); }));
  }
  // A block solved first, by a solver of its own, as a slice or a resumed run does it.
  for (const std::size_t block : {plan.blocks() - 1, plan.blocks() / 2}) {
    const SweptRows alone = SweepSolver(plan).solve(block);
    const std::size_t width = plan.shown().size();
    for (std::size_t i = 0; i < alone.values.size(); ++i) {
      const double other = one.values[alone.first * width + i];
      EXPECT_TRUE(alone.values[i] == other || (std::isnan(alone.values[i]) && std::isnan(other)));
    }
  }
}

TEST(Sweep, BlocksHoldEveryRowOnce) {
  const model::Model model = read_text(golden_document().dump());
  const SweepPlan plan = wide_plan(model);
  EXPECT_EQ(plan.block_begin(0), 0U);
  EXPECT_EQ(plan.block_begin(plan.blocks()), plan.rows());
  for (std::size_t block = 0; block < plan.blocks(); ++block)
    EXPECT_LT(plan.block_begin(block), plan.block_begin(block + 1));
}

TEST(Sweep, TheLastAxisMovesFastestAndThePointSlowest) {
  Json document = golden_document();
  document["points"].push_back({{"name", "slow"}, {"speed", "80 km/h"}});
  const model::Model model = read_text(document.dump());
  const SweepPlan plan = planned(
      model, {.axes = {axis(model, "speed=20m/s,30m/s"), axis(model, "fender_vent.area=0.03m2:0.05m2:3")}});
  ASSERT_EQ(plan.rows(), 12U);
  EXPECT_EQ(plan.point(5), "fast straight");
  EXPECT_EQ(plan.point(6), "slow");
  EXPECT_EQ(plan.input(2, 0), 20.0);
  EXPECT_EQ(plan.input(3, 0), 30.0);
  EXPECT_EQ(plan.input(4, 1), 0.04);
  EXPECT_EQ(plan.input(5, 1), 0.05);
}

TEST_F(SweepEquals, ATableMovesItsColumnsTogether) {
  const model::Model model = read(golden_document());
  const std::string path = write(
      "rows.csv", "speed [km/h],ambient.temperature [degC],fender_vent.cp\n72,20,-0.4\n144,35.5,-0.3\n");
  const Result<SweepAxis> table = read_axis_table(model, path);
  ASSERT_TRUE(table.ok()) << describe(table.issues().front());
  const SweepPlan plan =
      planned(model, {.axes = {table.value(), axis(model, "fender_vent.area=300cm2,400cm2")}});
  ASSERT_EQ(plan.rows(), 4U);
  EXPECT_DOUBLE_EQ(plan.input(2, 0), 40.0);
  EXPECT_DOUBLE_EQ(plan.input(2, 1), 308.65);
  EXPECT_EQ(plan.input(2, 2), -0.3);
  EXPECT_EQ(expect_solutions(plan, sweep(plan, 1)), 4U);
}

TEST_F(SweepEquals, ATableThatIsWrongSaysWhere) {
  const model::Model model = read(golden_document());
  const auto refused = [&](const std::string& text) {
    const auto table = read_axis_table(model, write("rows.csv", text));
    EXPECT_FALSE(table.ok());
    if (table) return std::string();
    EXPECT_EQ(table.issues().front().status, Status::input);
    return table.issues().front().code + " " + std::to_string(table.issues().front().place.line);
  };
  EXPECT_EQ(refused("spead [km/h]\n72\n"), "unknown_parameter 1");
  EXPECT_EQ(refused("speed\n72\n"), "missing_unit 1");
  EXPECT_EQ(refused("speed [kg]\n72\n"), "wrong_dimension 1");
  EXPECT_EQ(refused("speed [km/h]\n72\n900\n"), "out_of_bounds 3");
  EXPECT_EQ(refused("speed [km/h]\nfast\n"), "not_a_number 2");
}

TEST(SweepAxis, ReadsRangesAndLists) {
  const model::Model model = read_text(golden_document().dump());
  EXPECT_EQ(axis(model, "speed=36km/h:72km/h:3").values, (std::vector{10.0, 15.0, 20.0}));
  EXPECT_EQ(axis(model, " speed = 36 km/h , 54km/h ").values, (std::vector{10.0, 15.0}));
  EXPECT_EQ(axis(model, "fender_vent.cp=-0.5,-0.25").values, (std::vector{-0.5, -0.25}));
  EXPECT_EQ(axis(model, "speed=36km/h:36km/h:1").values, (std::vector{10.0}));
  EXPECT_EQ(axis(model, "speed=36km/h").values, (std::vector{10.0}));
  // Both ends to the bit.
  const std::vector<double> third = axis(model, "fender_vent.cp=-0.7:0.1:7").values;
  EXPECT_EQ(third.front(), -0.7);
  EXPECT_EQ(third.back(), 0.1);
}

TEST(SweepAxis, SaysWhatIsWrong) {
  const model::Model model = read_text(golden_document().dump());
  const auto refused = [&](const std::string& text, const std::string& code) {
    const auto read = read_axis(model, text);
    EXPECT_FALSE(read.ok()) << text;
    if (read) return std::string();
    EXPECT_EQ(read.issues().front().code, code) << describe(read.issues().front());
    EXPECT_EQ(read.issues().front().status, Status::usage);
    return read.issues().front().text;
  };
  EXPECT_NE(refused("speed", "bad_range").find("NAME=FROM:TO:COUNT"), std::string::npos);
  EXPECT_NE(refused("sped=1m/s", "unknown_parameter").find("did you mean \"speed\"?"), std::string::npos);
  EXPECT_NE(refused("fender_vent.area=1cm2:9cm2", "bad_range").find("20cm2:80cm2:7"), std::string::npos);
  refused("fender_vent.area=1cm2:9cm2:0", "bad_range");
  refused("fender_vent.area=1cm2:9cm2:2.5", "bad_range");
  refused("fender_vent.area=1cm2:9cm2:1", "bad_range");
  refused("fender_vent.area=1cm2:9cm2:9999999999", "bad_range");
  refused("fender_vent.area=1 m:9 m:2", "wrong_dimension");
  EXPECT_NE(refused("speed=33,5 m/s", "missing_unit").find("decimals are points"), std::string::npos);
  EXPECT_NE(refused("speed=10m/s,500m/s", "out_of_bounds").find("at most 432 km/h"), std::string::npos);
  EXPECT_NE(refused("fender_vent.area=0cm2:9cm2:3", "out_of_bounds").find("above 0 cm2"), std::string::npos);
}

TEST(SweepPlan, SaysWhatIsWrong) {
  const model::Model model = read_text(golden_document().dump());
  const SweepAxis speed = axis(model, "speed=36km/h");
  const auto refused = [&](SweepQuestion question) {
    const auto plan = SweepPlan::make(model, std::move(question));
    EXPECT_FALSE(plan.ok());
    if (plan) return std::string();
    EXPECT_EQ(plan.issues().front().status, Status::usage);
    return plan.issues().front().code;
  };
  EXPECT_EQ(refused({}), "no_axis");
  EXPECT_EQ(refused({.axes = {speed, speed}}), "duplicate_parameter");
  EXPECT_EQ(refused({.axes = {{{"warp"}, {1.0}}}}), "unknown_parameter");
  EXPECT_EQ(refused({.axes = {{{"speed"}, {500.0}}}}), "out_of_bounds");
  EXPECT_EQ(refused({.axes = {speed}, .points = {"nowhere"}}), "unknown_point");
  EXPECT_EQ(refused({.axes = {speed}, .shown = {"radiator.mood"}}), "unknown_quantity");
  EXPECT_EQ(refused({.axes = {speed}, .shown = {"radiator.flow", "radiator.flow"}}), "duplicate_column");
  EXPECT_EQ(refused({.axes = {axis(model, "coolant.flow=1kg/s")}, .shown = {"coolant.flow"}}),
            "duplicate_column");
  EXPECT_EQ(refused({.axes = {axis(model, "fender_vent.discharge_coefficient=0.6,0.7")}}),
            "conflicting_keys");
  const SweepAxis many = axis(model, "speed=1m/s:2m/s:100000");
  EXPECT_EQ(refused({.axes = {many, axis(model, "yaw=0deg:1deg:100000")}}), "too_many_rows");
}

/// What is cheap has to be found to be so: equal rows alone would not show it.
TEST(SweepPlan, SetsUpTheEquationsAnewOnlyWhereItMust) {
  Json document = golden_document();
  document["points"].push_back({{"name", "towed"},
                                {"speed", "80 km/h"},
                                {"heat_load", {{"coolant", "5 kW"}}},
                                {"cp", {{"floor_gap", -0.1}}}});
  const model::Model model = read_text(document.dump());
  const std::vector<std::pair<std::string, std::pair<Way, Way>>> expected{
      {"fender_vent.area=300cm2,400cm2", {Way::direct, Way::direct}},
      {"radiator.air_loss.linear=20Pa s/m,30Pa s/m", {Way::direct, Way::direct}},
      {"coolant.flow=1kg/s,2kg/s", {Way::direct, Way::direct}},
      {"coolant.heat_load=20kW,30kW", {Way::direct, Way::idle}},
      {"floor_gap.cp=-0.2,-0.3", {Way::direct, Way::idle}},
      {"speed=20m/s,30m/s", {Way::direct, Way::direct}},
      {"yaw=0deg,3deg", {Way::rebuilt, Way::rebuilt}},
      {"ambient.temperature=10degC,30degC", {Way::rebuilt, Way::rebuilt}}};
  PlannedSweep plan;
  plan.model = &model;
  plan.points = {0, 1};
  plan.shown = {{"coolant.temperature", units::Quantity::temperature}};
  for (const auto& [text, ways] : expected) {
    plan.question.axes.push_back(axis(model, text));
    const std::string& name = plan.question.axes.back().names.front();
    plan.numbers.push_back({model::find_parameter(model, name).value(), plan.numbers.size(), 0});
  }
  find_ways(plan);
  ASSERT_EQ(plan.groups.size(), 2U);
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(plan.groups[0].ways[i], expected[i].second.first) << expected[i].first;
    EXPECT_EQ(plan.groups[1].ways[i], expected[i].second.second) << expected[i].first;
  }
}

TEST(SweepPlan, TellsWhatMovesNothing) {
  Json document = golden_document();
  document["points"].push_back(
      {{"name", "towed"}, {"speed", "80 km/h"}, {"heat_load", {{"coolant", "5 kW"}}}});
  const model::Model model = read_text(document.dump());
  const SweepPlan plan = planned(model, {.axes = {axis(model, "coolant.heat_load=20kW,30kW")}});
  ASSERT_EQ(plan.warnings().size(), 1U);
  EXPECT_EQ(plan.warnings().front().code, "no_effect");
  EXPECT_NE(plan.warnings().front().text.find("\"towed\""), std::string::npos);
}

TEST(InOrder, TakesEveryNumberInItsTurn) {
  for (const int jobs : {1, 3, 8}) {
    std::vector<std::size_t> taken;
    in_order(
        5, 205, jobs, [] { return [](std::size_t number) { return number * number; }; },
        [&](std::size_t number, std::size_t made) {
          EXPECT_EQ(made, number * number);
          taken.push_back(number);
          return true;
        });
    ASSERT_EQ(taken.size(), 200U);
    EXPECT_TRUE(std::is_sorted(taken.begin(), taken.end()));
    EXPECT_EQ(taken.front(), 5U);
  }
}

TEST(InOrder, EndsWhereItIsTold) {
  std::atomic<std::size_t> begun = 0;
  std::size_t taken = 0;
  in_order(
      0, 100000, 4, [&begun] { return [&begun](std::size_t number) { return ++begun, number; }; },
      [&taken](std::size_t, std::size_t) { return ++taken < 10; });
  EXPECT_EQ(taken, 10U);
  EXPECT_LT(begun, 100U);
}

TEST(InOrder, PassesOnWhatIsThrown) {
  const auto start = [] {
    return [](std::size_t number) {
      if (number == 20) throw std::runtime_error("twenty");
      return number;
    };
  };
  EXPECT_THROW(in_order(0, 1000, 3, start, [](std::size_t, std::size_t) { return true; }),
               std::runtime_error);
}

}  // namespace
}  // namespace corefeed::studies
