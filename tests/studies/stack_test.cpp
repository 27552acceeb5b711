// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "corefeed/studies/compare.hpp"
#include "tests/support/golden.hpp"

/// Cores behind each other, and cores in zones. The invented stack (tests/data/stack-demo.corefeed) was
/// solved by a program of another form, a fixed point on the heat around a bracketed flow of each zone; its
/// figures stand below.
namespace corefeed::studies {
namespace {

using corefeed::testing::read_file;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

ordered_json stack_document() {
  return ordered_json::parse(read_file(COREFEED_SOURCE_DIR "/tests/data/stack-demo.corefeed"));
}

/// The document with one of its variants on it, as `--variant` reads it.
model::Model stack(const std::string& variant) {
  model::ReadOptions options;
  options.variant = variant;
  const auto model = model::parse_model(stack_document().dump(), "stack.json", ".", options);
  if (!model) throw std::runtime_error(describe(model.issues().front()));
  return model.value();
}

PointResult solved(const model::Model& model) {
  PointResult result = solve_point(model, model.points.front(), {});
  EXPECT_TRUE(result.solution.converged) << result.solution.explanation;
  return result;
}

double value(const PointResult& result, const std::string& quantity) {
  const auto found = result.solution.value(quantity);
  EXPECT_TRUE(found.has_value()) << quantity;
  return found.value_or(std::nan(""));
}

constexpr double agreement = 1e-4;
void expect_near(double found, double expected) {
  EXPECT_NEAR(found, expected, agreement * std::abs(expected));
}

TEST(Stack, BesideAgrees) {
  const PointResult result = solved(stack(""));
  expect_near(value(result, "oil_cooler.flow"), 0.23627489595341788);
  expect_near(value(result, "radiator.flow"), 1.3013323000357397);
  EXPECT_NEAR(value(result, "coolant.temperature"), 367.5223034165462, 0.01);
  EXPECT_NEAR(value(result, "oil.temperature"), 373.7321931475013, 0.01);
}

TEST(Stack, OilCoolerInFrontAgrees) {
  const PointResult result = solved(stack("front"));
  expect_near(value(result, "oil_cooler.flow"), 0.1500309581264609);
  expect_near(value(result, "radiator_rows.flow"), 0.1500309581264609);
  expect_near(value(result, "radiator/rest.flow"), 1.0245990301192984);
  expect_near(value(result, "radiator.flow"), 1.1746299882457594);
  EXPECT_NEAR(value(result, "radiator_rows.heat"), 914.648137361029, 1.0);
  EXPECT_NEAR(value(result, "radiator.heat"), 68e3, 0.1);
  EXPECT_NEAR(value(result, "coolant.temperature"), 383.14488749385015, 0.01);
  EXPECT_NEAR(value(result, "oil.temperature"), 395.941995252149, 0.01);
}

TEST(Stack, OilCoolerBehindAgrees) {
  const PointResult result = solved(stack("behind"));
  expect_near(value(result, "oil_cooler.flow"), 0.1432704955994349);
  expect_near(value(result, "radiator/rest.flow"), 1.0353321863386213);
  expect_near(value(result, "radiator.flow"), 1.1786026819380562);
  EXPECT_NEAR(value(result, "radiator_rows.heat"), 9220.267679689825, 1.0);
  EXPECT_NEAR(value(result, "coolant.temperature"), 372.8771033235117, 0.01);
  EXPECT_NEAR(value(result, "oil.temperature"), 462.2541646319969, 0.05);
}

// The face velocity of the whole is that of its zones by their share of the face.
TEST(Stack, WholeCoreHasTheMeanFaceVelocity) {
  const PointResult result = solved(stack("front"));
  EXPECT_NEAR(
      value(result, "radiator.face_velocity"),
      0.8 * value(result, "radiator/rest.face_velocity") + 0.2 * value(result, "radiator_rows.face_velocity"),
      1e-9);
}

TEST(Stack, ComparisonRanksTheMountings) {
  const auto comparison =
      compare({{"beside", stack("")}, {"front", stack("front")}, {"behind", stack("behind")}});
  ASSERT_TRUE(comparison);
  const auto& rows = comparison.value().points.front().quantities;
  const auto row = [&rows](const std::string& name) {
    const auto found = std::find_if(rows.begin(), rows.end(),
                                    [&name](const ComparedQuantity& one) { return one.quantity == name; });
    EXPECT_NE(found, rows.end()) << name;
    return *found;
  };
  const auto oil = row("oil.temperature").values;
  const auto coolant = row("coolant.temperature").values;
  EXPECT_LT(*oil[0].value, *oil[1].value);
  EXPECT_LT(*oil[1].value, *oil[2].value);
  EXPECT_LT(*coolant[0].value, *coolant[2].value);
  EXPECT_LT(*coolant[2].value, *coolant[1].value);
  // The radiator as a whole stands in the table of all three.
  for (const ComparedValue& flow : row("radiator.flow").values) EXPECT_TRUE(flow.value.has_value());
}

// A core cut in two halves side by side is the core.
TEST(Zones, TwoHalvesAreTheWhole) {
  ordered_json document = stack_document();
  document["air"]["elements"]["left_half"] = {
      {"kind", "core"}, {"from", "front"}, {"to", "box"}, {"part_of", "radiator"}, {"share", 0.5}};
  const model::Model halves = read_text(document.dump());
  const PointResult cut = solved(halves);
  const PointResult whole = solved(stack(""));
  for (const char* quantity : {"radiator.flow", "radiator.heat", "radiator.face_velocity",
                               "coolant.temperature", "oil.temperature"}) {
    EXPECT_NEAR(value(cut, quantity), value(whole, quantity), 1e-9 * value(whole, quantity)) << quantity;
  }
  // One core, one error: cutting it makes nothing better known.
  const Uncertainty of_cut = uncertainty_of(halves, cut, "coolant.temperature");
  const Uncertainty of_whole = uncertainty_of(stack(""), whole, "coolant.temperature");
  EXPECT_NEAR(of_cut.sigma, of_whole.sigma, 1e-6 * of_whole.sigma);
}

/// Central difference of a quantity by a number of a zone's element, both sides solved anew.
double slope_by(const std::string& variant, const std::string& element, const std::string& key, double at,
                const std::string& quantity) {
  const auto with = [&](double number) {
    ordered_json document = stack_document();
    document["variants"][variant]["air"]["elements"][element][key] = number;
    model::ReadOptions options;
    options.variant = variant;
    return value(solved(model::parse_model(document.dump(), "stack.json", ".", options).value()), quantity);
  };
  const double step = 1e-4 * at;
  return (with(at + step) - with(at - step)) / (2 * step);
}

// What a zone takes its core loses: both stand in the derivative.
TEST(Zones, DerivativeByTheirShareCountsBothSides) {
  const model::Model model = stack("front");
  const PointResult result = solved(model);
  const Uncertainty flow = uncertainty_of(model, result, "radiator.flow");
  const auto found = std::find_if(flow.influences.begin(), flow.influences.end(), [](const Influence& one) {
    return one.parameter == "radiator_rows.share";
  });
  ASSERT_NE(found, flow.influences.end());
  const double slope = slope_by("front", "radiator_rows", "share", 0.2, "radiator.flow");
  EXPECT_NEAR(found->derivative, slope, 1e-4 * std::abs(slope));
}

/// The first issue of the stack's front variant with other members in its zone.
Issue first_issue(const ordered_json& zone) {
  ordered_json document = stack_document();
  document["air"]["elements"]["zone"] = {{"kind", "core"}, {"from", "front"}, {"to", "box"}};
  document["air"]["elements"]["zone"].update(zone);
  const auto model = model::parse_model(document.dump(2), "stack.json", ".");
  return model ? Issue{} : model.issues().front();
}

TEST(Zones, FaultsAreNamed) {
  EXPECT_NE(first_issue({{"part_of", "radiatr"}, {"share", 0.2}}).text.find("did you mean \"radiator\""),
            std::string::npos);
  EXPECT_NE(first_issue({{"part_of", "radiator"}, {"share", 0.2}, {"face_area", "300 cm2"}})
                .text.find("takes \"face_area\" from \"radiator\""),
            std::string::npos);
  EXPECT_EQ(first_issue({{"part_of", "radiator"}}).code, "missing_key");
  EXPECT_EQ(first_issue({{"part_of", "radiator"}, {"share", 1.0}}).code, "out_of_bounds");
}

TEST(Zones, TogetherLeaveSomeOfTheCore) {
  ordered_json document = stack_document();
  for (const char* name : {"one", "two"}) {
    document["air"]["elements"][name] = {
        {"kind", "core"}, {"from", "front"}, {"to", "box"}, {"part_of", "radiator"}, {"share", 0.5}};
  }
  const auto model = model::parse_model(document.dump(), "stack.json", ".");
  ASSERT_FALSE(model);
  EXPECT_NE(model.issues().front().text.find("the parts of \"radiator\" take 1 of it"), std::string::npos)
      << model.issues().front().text;
}

}  // namespace
}  // namespace corefeed::studies
