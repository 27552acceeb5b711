// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/size.hpp"

#include <gtest/gtest.h>

#include "corefeed/model/parameter.hpp"
#include "tests/support/golden.hpp"
#include "tests/support/stalling_fan.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

SizeQuestion ask(const model::Model& model, const std::string& parameter, const std::string& condition) {
  Result<SizeQuestion> question = read_condition(model, condition);
  EXPECT_TRUE(question.ok()) << (question ? "" : describe(question.issues().front()));
  question.value().parameters = {parameter};
  return question.value();
}

/// The golden car's fender vent for 15 % more radiator air: 0.0652531 m2 by an independent solution, with
/// coolant at 88.01 and oil at 104.14 degC there.
TEST(Size, GoldenFenderVent) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 1.514622488 kg/s"));
  ASSERT_TRUE(size.ok());
  EXPECT_TRUE(size.value().reached);
  EXPECT_NEAR(size.value().value, 0.0652531, 1e-4 * 0.0652531);
  EXPECT_EQ(size.value().point, "fast straight");
  EXPECT_GT(size.value().sigma, 0.0);
  const PointResult there = solve_point(size.value().sized, size.value().sized.points.front(), {});
  EXPECT_NEAR(*there.solution.value("coolant.temperature"), 273.15 + 88.01, 0.01);
  EXPECT_NEAR(*there.solution.value("oil.temperature"), 273.15 + 104.14, 0.01);
  EXPECT_NEAR(*there.solution.value("oil_cooler.flow"), 0.216166, 1e-5 * 0.216);
}

TEST(Size, TheSizedModelIsWrittenInItsOwnUnitAndReadsBack) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 1.4 kg/s"));
  ASSERT_TRUE(size.ok() && size.value().reached);
  const std::string text = model::write_model(size.value().sized);
  const auto written =
      nlohmann::json::parse(text)["air"]["elements"]["fender_vent"]["area"].get<std::string>();
  EXPECT_EQ(units::unit_of(written), "cm2") << written;
  const model::Model again = read_text(text);
  const PointResult there = solve_point(again, again.points.front(), {});
  // The text carries eight digits.
  EXPECT_NEAR(*there.solution.value("radiator.flow"), 1.4, 1e-7);
}

TEST(Size, OutOfReachNamesTheBestAndWhatLimits) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 3 kg/s"));
  ASSERT_TRUE(size.ok());
  EXPECT_FALSE(size.value().reached);
  EXPECT_DOUBLE_EQ(size.value().value, size.value().highest);
  EXPECT_LT(size.value().quantity, 3.0);
  EXPECT_NE(size.value().limited_by.find("radiator.face_area"), std::string::npos) << size.value().limited_by;
}

TEST(Size, AStretchWithoutASolutionIsOneWarning) {
  const model::Model model = read_text(golden_document().dump());
  // With so little vent the oil cooler's air stands nearly still; with less yet it flows the other way.
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 1.514622488 kg/s"));
  ASSERT_TRUE(size.ok());
  ASSERT_EQ(size.value().warnings.size(), 1U);
  const std::string& text = size.value().warnings.front().text;
  EXPECT_NE(text.find("119.6 cm2 to "), std::string::npos) << text;
}

TEST(Size, AnUpperLimitIsClosedInFromTheOtherSide) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "core_gap.area", "coolant.temperature <= 95 degC"));
  ASSERT_TRUE(size.ok() && size.value().reached);
  EXPECT_GT(size.value().value, 0.003);  // the gap may grow: coolant is at 93.8 degC with 30 cm2
  const PointResult there = solve_point(size.value().sized, size.value().sized.points.front(), {});
  EXPECT_NEAR(*there.solution.value("coolant.temperature"), 273.15 + 95.0, 1e-3);
}

TEST(Size, SeveralParametersKeepTheirRatio) {
  const model::Model model = read_text(golden_document().dump());
  SizeQuestion question = ask(model, "fender_vent.area", "radiator.flow >= 1.4 kg/s");
  question.parameters = {"fender_vent.area", "floor_gap.area"};
  const auto size = studies::size(model, question);
  ASSERT_TRUE(size.ok() && size.value().reached);
  ASSERT_EQ(size.value().values.size(), 2U);
  EXPECT_NEAR(size.value().values[1] / size.value().values[0], 160.0 / 400.0, 1e-12);
}

// A coefficient may well be zero before it is sized.
TEST(Size, ANumberThatIsZeroCanBeSized) {
  nlohmann::json document = golden_document();
  document["air"]["elements"]["fender_vent"]["cp"] = 0;
  const model::Model model = read_text(document.dump());
  SizeQuestion question = ask(model, "fender_vent.cp", "radiator.flow >= 1.2 kg/s");
  question.lowest = -1.0;
  question.highest = 0.5;
  const auto size = studies::size(model, question);
  ASSERT_TRUE(size.ok()) << describe(size.issues().front());
  ASSERT_TRUE(size.value().reached);
  const PointResult there = solve_point(size.value().sized, size.value().sized.points.front(), {});
  EXPECT_NEAR(*there.solution.value("radiator.flow"), 1.2, 1e-6);
  EXPECT_TRUE(model::parse_model(model::write_model(size.value().sized), "sized", ".").ok());
}

// Written into the model it could not be read again.
TEST(Size, ANumberThatNeedsOthersIsRefused) {
  const model::Model model = read_text(golden_document().dump());
  SizeQuestion question = ask(model, "radiator.fan_shadow.gap", "radiator.flow >= 1.2 kg/s");
  question.lowest = 0.001;
  question.highest = 0.02;
  const auto size = studies::size(model, question);
  ASSERT_FALSE(size.ok());
  EXPECT_EQ(size.issues().front().code, "missing_key");
  EXPECT_EQ(size.issues().front().status, Status::usage);
  EXPECT_NE(size.issues().front().text.find("fan_shadow"), std::string::npos);
}

// Between 112 and 168 cm2 the oil cooler's air stands nearly still, and there is no steady state: no size
// gives just this flow, and the smallest with a solution gives more.
TEST(Size, ATargetWhereNothingStandsStillIsMetAtTheEndOfThatStretch) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 0.85 kg/s"));
  ASSERT_TRUE(size.ok());
  EXPECT_TRUE(size.value().reached);
  const PointResult there = solve_point(size.value().sized, size.value().sized.points.front(), {});
  ASSERT_TRUE(there.solution.converged) << there.solution.explanation;
  EXPECT_GE(*there.solution.value("radiator.flow"), 0.85);
  EXPECT_NEAR(size.value().quantity, *there.solution.value("radiator.flow"), 1e-6);
  // It is the end: a thousandth less has no solution.
  model::Model less = model;
  model::set_parameter(less, model::find_parameter(less, "fender_vent.area").value(),
                       0.999 * size.value().value);
  EXPECT_FALSE(solve_point(less, less.points.front(), {}).solution.converged);
  ASSERT_EQ(size.value().warnings.size(), 2U);
  EXPECT_NE(size.value().warnings.back().text.find("the target is crossed between fender_vent.area = "),
            std::string::npos)
      << size.value().warnings.back().text;
}

// From the other side: with 0.85 kg/s at most, it is the largest below the stretch.
TEST(Size, AnUpperTargetThereIsMetAtItsOtherEnd) {
  const model::Model model = read_text(golden_document().dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow <= 0.85 kg/s"));
  ASSERT_TRUE(size.ok() && size.value().reached);
  EXPECT_LE(size.value().quantity, 0.85);
  EXPECT_GT(size.value().quantity, 0.80);
  EXPECT_LT(size.value().value, 0.01196);
}

// The drag of the cooling air rises with the core's face and falls again where hardly any speed is left.
TEST(Size, OfSeveralCrossingsTheSmallestIsGiven) {
  const model::Model model = read_text(golden_document().dump());
  SizeQuestion question = ask(model, "radiator.face_area", "car.cooling_drag >= 81 N");
  question.lowest = 0.1;
  question.highest = 0.4;
  const auto size = studies::size(model, question);
  ASSERT_TRUE(size.ok() && size.value().reached);
  EXPECT_LT(size.value().value, 0.21);
  EXPECT_NEAR(size.value().quantity, 81.0, 1e-6);
  ASSERT_EQ(size.value().warnings.size(), 1U);
  EXPECT_EQ(size.value().warnings.front().code, "several_crossings");
  EXPECT_EQ(size.value().warnings.front().severity, Severity::warning);
  EXPECT_NE(size.value().warnings.front().text.find("crossed 2 times"), std::string::npos);
}

TEST(Size, WithSeveralStatesThereIsNoOneSize) {
  const model::Model model = read_text(corefeed::testing::stalling_document().dump());
  SizeQuestion question = ask(model, "mouth.area", "requirement:fed");
  question.lowest = 0.2;
  question.highest = 0.4;
  const auto size = studies::size(model, question);
  ASSERT_FALSE(size.ok());
  EXPECT_EQ(size.issues().front().code, "several_solutions");
  EXPECT_EQ(size.issues().front().status, Status::no_solution);
  EXPECT_EQ(
      size.issues().front().text,
      "at mouth.area = 2000 cm2 the point level has several possible operating points, so there is no one "
      "size to give; look at them with solve");
}

TEST(Size, WithoutAnySolutionThereIsNoAnswer) {
  const model::Model model = read_text(golden_document().dump());
  StudyOptions hopeless;
  hopeless.solver.most_iterations = 1;
  const auto size =
      studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 1.4 kg/s"), hopeless);
  ASSERT_FALSE(size.ok());
  EXPECT_EQ(size.issues().front().code, "no_solution");
  EXPECT_EQ(size.issues().front().status, Status::no_solution);
  EXPECT_EQ(size.issues().front().severity, Severity::error);
  EXPECT_EQ(size.issues().front().text,
            "no solution at fender_vent.area = 80 cm2 to 2000 cm2 in point fast straight");
}

// As the car is there is no solution; the target holds wherever there is one.
TEST(Size, WhereItHoldsEverywhereASolutionIsGivenAllTheSame) {
  nlohmann::json document = golden_document();
  document["air"]["elements"]["fender_vent"]["area"] = "140 cm2";
  const model::Model model = read_text(document.dump());
  const auto size = studies::size(model, ask(model, "fender_vent.area", "radiator.flow >= 0.1 kg/s"));
  ASSERT_TRUE(size.ok() && size.value().reached);
  EXPECT_GE(size.value().quantity, 0.1);
  const PointResult there = solve_point(size.value().sized, size.value().sized.points.front(), {});
  EXPECT_TRUE(there.solution.converged) << there.solution.explanation;
}

TEST(Size, ARangeNeedsTwoEnds) {
  nlohmann::json document = golden_document();
  document["air"]["elements"]["fender_vent"]["cp"] = 0;
  const model::Model model = read_text(document.dump());
  const auto text_of = [&model](const SizeQuestion& question) {
    const auto size = studies::size(model, question);
    EXPECT_FALSE(size.ok());
    if (size.ok()) return std::string();
    EXPECT_EQ(size.issues().front().code, "bad_range");
    EXPECT_EQ(size.issues().front().status, Status::usage);
    return size.issues().front().text;
  };
  SizeQuestion question = ask(model, "fender_vent.area", "radiator.flow >= 1.2 kg/s");
  question.lowest = 0.05;
  question.highest = 0.02;
  EXPECT_EQ(
      text_of(question),
      "the range of fender_vent.area is empty: from 500 cm2 to 200 cm2; give one with --range LOW HIGH");
  // Five times nothing and a fifth of it.
  EXPECT_EQ(text_of(ask(model, "fender_vent.cp", "radiator.flow >= 1.2 kg/s")),
            "the range of fender_vent.cp is empty: from 0 to 0; give one with --range LOW HIGH");
  question.parameters = {"fender_vent.cp", "floor_gap.cp"};
  question.lowest = -1.0;
  question.highest = 0.5;
  EXPECT_EQ(text_of(question), "fender_vent.cp is 0, so the others have no ratio to keep to it");
}

TEST(Size, RequirementsServeAsTargets) {
  const model::Model model = read_text(golden_document().dump());
  const auto question = read_condition(model, "requirement:oil stays cool");
  ASSERT_TRUE(question.ok());
  EXPECT_EQ(question.value().quantity, "oil.temperature");
  EXPECT_FALSE(question.value().at_least);
  EXPECT_NEAR(question.value().target, 273.15 + 135.0, 1e-9);
}

TEST(Size, WrongQuestionsAreExplained) {
  const model::Model model = read_text(golden_document().dump());
  const auto code_of = [&model](const std::string& condition) {
    const auto question = read_condition(model, condition);
    return question ? std::string("none") : question.issues().front().code;
  };
  EXPECT_EQ(code_of("radiator.flow = 1 kg/s"), "bad_condition");
  EXPECT_EQ(code_of("radiator.flwo >= 1 kg/s"), "unknown_quantity");
  EXPECT_EQ(code_of("radiator.flow >= 1"), "missing_unit");
  EXPECT_EQ(code_of("radiator.flow >= 1 Pa"), "wrong_dimension");
  EXPECT_EQ(code_of("requirement:nothing"), "unknown_requirement");
  const auto size = studies::size(model, ask(model, "fender_vent.aera", "radiator.flow >= 1 kg/s"));
  ASSERT_FALSE(size.ok());
  EXPECT_NE(size.issues().front().text.find("fender_vent.area"), std::string::npos);
  EXPECT_EQ(size.issues().front().status, Status::usage);
}

}  // namespace
}  // namespace corefeed::studies
