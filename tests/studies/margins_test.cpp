// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/margins.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "corefeed/model/parameter.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

const Margin& find(const Margins& margins, Trouble trouble, Margin::Until until, const std::string& name) {
  for (const Margin& one : margins.margins) {
    if (one.trouble == trouble && one.until == until && one.name == name) return one;
  }
  throw std::runtime_error("no margin of " + name);
}

/// The golden car, solved by an independent program with the Cp of both vents raised together: oil reaches
/// 135 degC at +0.1998, coolant 110 degC at +0.5916, the oil cooler keeps half its air at +0.4168. The
/// figures are printed with four digits.
TEST(Margins, GoldenRiseOfBothOutletPressures) {
  constexpr double printed = 1e-4;
  const Margins margins = margins_of(read_text(golden_document().dump()));
  const auto amount = [&margins](Margin::Until until, const std::string& name) {
    return find(margins, Trouble::outlet_pressure, until, name).amount.value();
  };
  EXPECT_NEAR(amount(Margin::Until::requirement, "oil stays cool"), 0.1998, printed);
  EXPECT_NEAR(amount(Margin::Until::requirement, "coolant stays cool"), 0.5916, printed);
  EXPECT_NEAR(amount(Margin::Until::half_flow, "oil_cooler"), 0.4168, printed);
}

/// The model with a number changed by hand, solved anew.
double value_with(model::Model model, const std::vector<std::pair<std::string, double>>& changes,
                  const std::string& quantity) {
  for (const auto& [name, value] : changes) {
    const auto parameter = model::find_parameter(model, name);
    EXPECT_TRUE(parameter.ok()) << name;
    model::set_parameter(model, parameter.value(), value);
  }
  return solve_point(model, model.points.front(), {}).solution.value(quantity).value();
}

/// Both cores of the golden car with this share of their faces open.
std::vector<std::pair<std::string, double>> with_open_faces(double open) {
  return {{"radiator.face_area", 0.15 * open},
          {"radiator.air_conductance.value", 3600.0 * open},
          {"radiator.air_conductance.flow", 1.2 * open},
          {"oil_cooler.face_area", 0.03 * open},
          {"oil_cooler.air_conductance.value", 620.0 * open},
          {"oil_cooler.air_conductance.flow", 0.25 * open}};
}

TEST(Margins, EachAmountIsWhereTheModelItselfMeetsTheLimit) {
  // An amount is good to 1e-6 of itself, and no slope here is over 100 K per unit.
  constexpr double tolerance = 1e-3;
  const model::Model model = read_text(golden_document().dump());
  const Margins margins = margins_of(model);
  const auto oil = [&](Trouble trouble) {
    return find(margins, trouble, Margin::Until::requirement, "oil stays cool").amount.value();
  };
  const double limit = 273.15 + 135.0;
  const double traffic = oil(Trouble::traffic);
  EXPECT_GT(traffic, 0.0);
  EXPECT_NEAR(value_with(model, {{"speed", 50.0 * std::sqrt(1.0 - traffic)}}, "oil.temperature"), limit,
              tolerance);
  const double open = 1.0 - oil(Trouble::dirty_cores);
  const double hot = value_with(model, with_open_faces(open), "oil.temperature");
  EXPECT_NEAR(hot, limit, tolerance);
  const Margin& fed = find(margins, Trouble::leak_growth, Margin::Until::requirement, "radiator is fed");
  EXPECT_NEAR(value_with(model, {{"core_gap.area", 0.003 * fed.amount.value()}}, "radiator.flow"), 1.20,
              1e-5);
}

TEST(Margins, AScreenClosesFromWhatItIs) {
  nlohmann::ordered_json document = golden_document();
  document["air"]["elements"]["nose_screen"] = {{"kind", "screen"},     {"from", "screened"},
                                                {"to", "duct_mouth"},   {"area", "420 cm2"},
                                                {"open_fraction", 0.7}, {"clogging", 0.1}};
  document["air"]["elements"]["nose_inlet"]["to"] = "screened";
  document["requirements"][0]["at_least"] = "1.0 kg/s";
  const model::Model model = read_text(document.dump());
  const Margins margins = margins_of(model);
  const Margin& fed = find(margins, Trouble::clogged_screens, Margin::Until::requirement, "radiator is fed");
  ASSERT_TRUE(fed.amount.has_value());
  const double clogging = 1.0 - 0.9 * (1.0 - *fed.amount);
  EXPECT_NEAR(value_with(model, {{"nose_screen.clogging", clogging}}, "radiator.flow"), 1.0, 1e-5);
}

TEST(Margins, WhatTheModelLacksIsNamedAndLeftOut) {
  const Margins margins = margins_of(read_text(golden_document().dump()));
  ASSERT_EQ(margins.without.size(), 1U);
  EXPECT_EQ(margins.without.front(), Trouble::clogged_screens);
  EXPECT_EQ(first_of(margins, Trouble::clogged_screens), nullptr);
}

TEST(Margins, ARequirementThatFailsAlreadySaysSo) {
  nlohmann::ordered_json document = golden_document();
  document["requirements"][0]["at_least"] = "1.40 kg/s";
  const Margins margins = margins_of(read_text(document.dump()));
  const Margin& fed = find(margins, Trouble::traffic, Margin::Until::requirement, "radiator is fed");
  EXPECT_TRUE(fed.from_the_start);
  EXPECT_DOUBLE_EQ(fed.amount.value(), 0.0);
  EXPECT_DOUBLE_EQ(
      find(margins, Trouble::leak_growth, Margin::Until::requirement, "radiator is fed").amount.value(), 1.0);
}

TEST(Margins, TheFirstReversalIsWhereItsFlowIsZero) {
  const model::Model model = read_text(golden_document().dump());
  const Margins margins = margins_of(model);
  const Margin& turned = find(margins, Trouble::dirty_cores, Margin::Until::reversal, "floor_gap");
  ASSERT_TRUE(turned.amount.has_value());
  const double open = 1.0 - *turned.amount;
  const double flow = value_with(model, with_open_faces(open), "floor_gap.flow");
  EXPECT_NEAR(flow, 0.0, 1e-4);
}

TEST(Margins, OfSeveralPointsTheOneThatGivesWayFirstIsNamed) {
  nlohmann::ordered_json document = golden_document();
  document["points"].push_back(document["points"][0]);
  document["points"][1]["name"] = "slower";
  document["points"][1]["speed"] = "150 km/h";
  const Margins margins = margins_of(read_text(document.dump()));
  const Margin& cool =
      find(margins, Trouble::outlet_pressure, Margin::Until::requirement, "coolant stays cool");
  EXPECT_EQ(cool.point, "slower");
  EXPECT_LT(cool.amount.value(), 0.5916);
}

}  // namespace
}  // namespace corefeed::studies
