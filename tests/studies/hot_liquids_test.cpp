// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "tests/support/golden.hpp"

/// What the user is told where a liquid boils, a core is starved, or no steady temperature exists.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

/// The golden car on half glycol, 93 degC hot.
ordered_json glycol_car() {
  ordered_json car = golden_document();
  car["loops"]["coolant"]["fluid"] = {{"kind", "water_glycol"}, {"glycol_share", 0.5}};
  return car;
}

PointResult at_first_point(const ordered_json& car) {
  const model::Model model = read_text(car.dump());
  return solve_point(model, model.points.front(), {});
}

const Issue* warning(const PointResult& result, std::string_view code, std::string_view element) {
  const auto found = std::find_if(result.warnings.begin(), result.warnings.end(), [&](const Issue& issue) {
    return issue.code == code && issue.place.pointer == element;
  });
  return found == result.warnings.end() ? nullptr : &*found;
}

// Half glycol by volume boils at 107 degC under 1 atm by Raoult's law on the water, mole fraction 0.756.
TEST(Boiling, MarginIsThatUnderTheCap) {
  ordered_json car = glycol_car();
  car["ambient"]["pressure"] = "101325 Pa";
  const PointResult open = at_first_point(car);
  const double hot = *open.solution.value("coolant.temperature");
  EXPECT_NEAR(*open.solution.value("coolant.boiling_margin"), 273.15 + 107.0 - hot, 1.5);
  EXPECT_EQ(warning(open, "boiling", "coolant"), nullptr);
  car["loops"]["coolant"]["cap_pressure"] = "1.1 bar";
  const PointResult capped = at_first_point(car);
  // Twice the pressure lifts the boiling point of water by 20 K (steam tables: 99.6 at 1, 120.2 degC at 2
  // bar).
  EXPECT_NEAR(
      *capped.solution.value("coolant.boiling_margin") - *open.solution.value("coolant.boiling_margin"), 22.0,
      2.5);
}

TEST(Boiling, IsWarnedByName) {
  ordered_json car = glycol_car();
  car["loops"]["coolant"]["heat_load"] = "95 kW";
  const PointResult result = at_first_point(car);
  ASSERT_LT(*result.solution.value("coolant.boiling_margin"), 0.0);
  const Issue* issue = warning(result, "boiling", "coolant");
  ASSERT_NE(issue, nullptr);
  EXPECT_EQ(issue->severity, Severity::warning);
  EXPECT_NE(issue->text.find("it boils"), std::string::npos);
}

// A liquid of constant properties and an oil have no boiling point that the library knows.
TEST(Boiling, IsNotGuessed) {
  const PointResult result = at_first_point(golden_document());
  EXPECT_FALSE(result.solution.value("coolant.boiling_margin").has_value());
}

TEST(Starved, ATemperatureThatIsNoAnswerSaysSo) {
  ordered_json car = golden_document();
  car["loops"]["oil"]["heat_load"] = "45 kW";
  const PointResult result = at_first_point(car);
  ASSERT_TRUE(result.solution.converged);
  ASSERT_GT(*result.solution.value("oil.temperature"), 523.15);
  const Issue* issue = warning(result, "starved", "oil");
  ASSERT_NE(issue, nullptr);
  EXPECT_NE(issue->text.find("is no answer"), std::string::npos);
  EXPECT_EQ(warning(result, "starved", "coolant"), nullptr);
}

// 3 km/h with the wheel locked: next to nothing on the face of the oil cooler.
TEST(Starved, ACoreWithoutAirIsNamed) {
  ordered_json car = golden_document();
  car["points"][0]["speed"] = "1.5 m/s";
  car["points"][0]["fans"] = {{"fan", "stopped"}};
  car["points"][0]["heat_load"] = {{"coolant", "1.0 kW"}, {"oil", "0.1 kW"}};
  const PointResult result = at_first_point(car);
  ASSERT_TRUE(result.solution.converged) << result.solution.explanation;
  const Issue* issue = warning(result, "starved", "oil_cooler");
  ASSERT_NE(issue, nullptr);
  EXPECT_NE(issue->text.find("hardly cools oil"), std::string::npos) << issue->text;
}

// Standing with everything shut off: no air, no answer.
TEST(Starved, StandingStillHasNoAnswer) {
  ordered_json car = golden_document();
  car["points"][0]["speed"] = "0 m/s";
  car["points"][0]["fans"] = {{"fan", "stopped"}};
  const model::Model model = read_text(car.dump());
  const auto study = run_study(model);
  ASSERT_TRUE(study);
  EXPECT_EQ(study.value().status, Status::no_solution);
  const PointResult& point = study.value().points.front();
  EXPECT_FALSE(point.solution.converged);
  EXPECT_NE(point.solution.explanation.find("radiator"), std::string::npos) << point.solution.explanation;
}

TEST(HeatShare, IsTakenFromTheShaftPower) {
  ordered_json car = golden_document();
  car["loops"]["coolant"].erase("heat_load");
  car["loops"]["coolant"]["heat_share"] = 0.5;
  car["points"][0]["shaft_power"] = "136 kW";
  const PointResult result = at_first_point(car);
  EXPECT_NEAR(*result.solution.value("coolant.heat"), 68e3, 1e-6);
}

TEST(HeatShare, ARuleOfThumbSaysThatItIsOne) {
  ordered_json car = golden_document();
  car["loops"]["coolant"].erase("heat_load");
  car["loops"]["coolant"]["heat_rule"] = "coolant_naturally_aspirated";
  car["points"][0]["shaft_power"] = "120 kW";
  const model::Model model = read_text(car.dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  EXPECT_NEAR(result.built.problem.loops.front().heat_load, 66e3, 1e-6);
  EXPECT_NEAR(result.built.problem.loops.front().heat_load_sigma, 0.2 * 66e3, 1e-6);
  const auto list = model::assumptions(model);
  const auto found = std::find_if(list.begin(), list.end(), [](const model::Assumption& one) {
    return one.element == "coolant" && one.parameter == "heat_share";
  });
  ASSERT_NE(found, list.end());
  EXPECT_NE(found->source.find("common practice, no source"), std::string::npos);
}

TEST(HeatShare, AsksForThePower) {
  ordered_json car = golden_document();
  car["loops"]["coolant"].erase("heat_load");
  car["loops"]["coolant"]["heat_share"] = 0.5;
  const auto without = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(without);
  EXPECT_NE(without.issues().front().text.find("shaft_power"), std::string::npos);
  // A point that gives the heat itself needs none.
  car["points"][0]["heat_load"] = {{"coolant", "60 kW"}};
  EXPECT_TRUE(model::parse_model(car.dump(), "test.json", "."));
  car["loops"]["coolant"]["heat_load"] = "68 kW";
  const auto both = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(both);
  EXPECT_EQ(both.issues().front().code, "conflicting_keys");
}

TEST(OilGrade, IsComparedWithTheDataSheet) {
  const auto warned = [](const char* grade) {
    ordered_json car = golden_document();
    car["loops"]["oil"]["fluid"] = {
        {"kind", "oil"}, {"viscosity_40", "85 cSt"}, {"viscosity_100", "14 cSt"}, {"grade", grade}};
    const model::Model model = read_text(car.dump());
    return std::any_of(model.warnings.begin(), model.warnings.end(),
                       [](const Issue& issue) { return issue.code == "out_of_grade"; });
  };
  EXPECT_FALSE(warned("5W-40"));
  EXPECT_TRUE(warned("10W-60"));
}

}  // namespace
}  // namespace corefeed::studies
