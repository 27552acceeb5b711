// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/advice.hpp"

#include <gtest/gtest.h>

#include "corefeed/model/parameter.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

/// The golden car asked for the given radiator flow alone.
model::Model wanting(const std::string& flow) {
  nlohmann::ordered_json document = golden_document();
  document["requirements"] = {
      {{"name", "radiator is fed"}, {"quantity", "radiator.flow"}, {"at_least", flow}}};
  return read_text(document.dump());
}

std::vector<Advice> advice_for(const model::Model& model) {
  const Result<Study> study = run_study(model);
  return advise(model, study.value());
}

const Lever& lever(const Advice& advice, const std::string& parameter) {
  for (const Lever& one : advice.levers) {
    if (one.parameter == parameter) return one;
  }
  throw std::runtime_error("no lever " + parameter);
}

/// 15 % more radiator air by the fender vent alone: 0.0652531 m2 by an independent solution.
TEST(Advice, TheVentThatCuresTheGoldenCar) {
  const std::vector<Advice> advice = advice_for(wanting("1.514622488 kg/s"));
  ASSERT_EQ(advice.size(), 1U);
  EXPECT_EQ(advice.front().point, "fast straight");
  ASSERT_EQ(advice.front().levers.size(), 3U);
  const Lever& vent = lever(advice.front(), "fender_vent.area");
  EXPECT_TRUE(vent.larger);
  EXPECT_DOUBLE_EQ(vent.now, 0.04);
  ASSERT_TRUE(vent.size.has_value());
  EXPECT_NEAR(*vent.size, 0.0652531, 1e-4 * 0.0652531);
  EXPECT_GT(vent.sigma, 0.0);
}

TEST(Advice, EachSizeThatCuresDoes) {
  const model::Model model = wanting("1.45 kg/s");
  const std::vector<Advice> advice = advice_for(model);
  ASSERT_EQ(advice.size(), 1U);
  for (const Lever& one : advice.front().levers) {
    if (!one.size) continue;
    model::Model cured = model;
    model::set_parameter(cured, model::find_parameter(cured, one.parameter).value(), *one.size);
    const PointResult there = solve_point(cured, cured.points.front(), {});
    EXPECT_NEAR(*there.solution.value("radiator.flow"), 1.45, 1e-6) << one.parameter;
  }
}

TEST(Advice, WhatCannotCureSaysWhatItReaches) {
  const std::vector<Advice> advice = advice_for(wanting("2.5 kg/s"));
  ASSERT_EQ(advice.size(), 1U);
  for (const Lever& one : advice.front().levers) {
    EXPECT_FALSE(one.size.has_value()) << one.parameter;
    EXPECT_GT(one.reaches, 1.317);
    EXPECT_LT(one.reaches, 2.5);
    EXPECT_NE(one.why_not.find("reaches only"), std::string::npos) << one.why_not;
  }
}

TEST(Advice, AStatedConfidenceAsksForASureMargin) {
  nlohmann::ordered_json document = golden_document();
  // Met at 1.317 kg/s by half a sigma alone: too close for a confidence of 0.95.
  document["requirements"] = {
      {{"name", "fed"}, {"quantity", "radiator.flow"}, {"at_least", "1.285 kg/s"}, {"confidence", 0.95}}};
  const model::Model model = read_text(document.dump());
  const std::vector<Advice> advice = advice_for(model);
  ASSERT_EQ(advice.size(), 1U);
  const Lever& vent = lever(advice.front(), "fender_vent.area");
  ASSERT_TRUE(vent.size.has_value());
  EXPECT_GT(*vent.size, 0.042);
}

TEST(Advice, NothingToCureNoAdvice) { EXPECT_TRUE(advice_for(wanting("1.0 kg/s")).empty()); }

}  // namespace
}  // namespace corefeed::studies
