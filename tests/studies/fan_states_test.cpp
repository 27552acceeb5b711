// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "tests/support/golden.hpp"

/// The golden car with its fan in every state, without flaps, with two fans, and crawling. Figures of two
/// independent programs, printed to the digits given.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

PointResult solved(const ordered_json& document) {
  const model::Model model = read_text(document.dump());
  PointResult result = solve_point(model, model.points.front(), {});
  EXPECT_TRUE(result.solution.converged) << result.solution.explanation;
  return result;
}

double value(const PointResult& result, const std::string& quantity) {
  return result.solution.value(quantity).value_or(std::nan(""));
}

ordered_json with_fan(const char* state) {
  ordered_json document = golden_document();
  document["points"][0]["fans"] = {{"fan", state}};
  return document;
}

TEST(FanStates, MoveTheRadiatorsFlowAtSpeed) {
  const auto flow = [](const char* state) { return value(solved(with_fan(state)), "radiator.flow"); };
  EXPECT_NEAR(flow("on"), 1.336, 0.0005);
  EXPECT_NEAR(flow("freewheeling"), 1.317, 0.0005);
  EXPECT_NEAR(flow("stopped"), 1.262, 0.0005);
  EXPECT_NEAR(flow("removed"), 1.320, 0.0005);
}

TEST(FanStates, AClosedShroudCostsFlowAndASecondFanGivesItBack) {
  ordered_json document = golden_document();
  document["air"]["elements"].erase("ram_flaps");
  EXPECT_NEAR(value(solved(document), "radiator.flow"), 1.223, 0.0005);
  document["air"]["elements"]["second_fan"] = document["air"]["elements"]["fan"];
  document["points"][0]["fans"]["second_fan"] = "freewheeling";
  EXPECT_NEAR(value(solved(document), "radiator.flow"), 1.331, 0.0005);
}

ordered_json crawling(const char* state) {
  ordered_json document = with_fan(state);
  document["points"][0]["speed"] = "8 m/s";
  document["points"][0]["heat_load"] = {{"coolant", "12 kW"}, {"oil", "1.0 kW"}};
  return document;
}

bool warns(const PointResult& result, const std::string& code, const std::string& element) {
  return std::any_of(result.warnings.begin(), result.warnings.end(), [&](const Issue& issue) {
    return issue.code == code && issue.place.pointer == element;
  });
}

// 0.136 to 0.387 kg/s, the bay 43 Pa above ambient. Those programs blend the coefficient of the flaps where
// they turn; ours blends its inverse root, so that loss rises with flow, and lets twice as much back through
// the flaps: 4 % of the bay's pressure.
TEST(FanStates, AtCrawlTheFanDecides) {
  const PointResult off = solved(crawling("stopped"));
  const PointResult on = solved(crawling("on"));
  EXPECT_NEAR(value(off, "radiator.flow"), 0.136, 0.01 * 0.136);
  EXPECT_NEAR(value(on, "radiator.flow"), 0.387, 0.01 * 0.387);
  EXPECT_NEAR(value(on, "engine_bay.total_pressure"), 43.0, 0.05 * 43.0);
  // The oil cooler's branch runs backwards, and is named.
  EXPECT_LT(value(on, "oil_cooler.flow"), 0.0);
  EXPECT_TRUE(warns(on, "fan_back_feeds", "oil_cooler"));
  EXPECT_TRUE(warns(on, "reversed", "flank_inlet"));
  EXPECT_FALSE(warns(off, "fan_back_feeds", "oil_cooler"));
  EXPECT_GT(value(on, "fan.power"), 100.0);
  EXPECT_EQ(value(off, "fan.power"), 0.0);
}

// A fan beside a running one turns backwards in its wind, unless a flap keeps it shut.
TEST(FanStates, AnIdleFanBesideARunningOneLeaks) {
  ordered_json document = crawling("on");
  auto& elements = document["air"]["elements"];
  elements.erase("ram_flaps");
  elements["idle_fan"] = elements["fan"];
  document["points"][0]["fans"]["idle_fan"] = "freewheeling";
  const PointResult open = solved(document);
  EXPECT_LT(value(open, "idle_fan.flow"), -0.05);
  EXPECT_TRUE(warns(open, "fan_back_feeds", "idle_fan"));
  elements["idle_fan"]["to"] = "before_flap";
  elements["fan_flap"] = {
      {"kind", "flap"}, {"from", "before_flap"}, {"to", "engine_bay"}, {"area", "580 cm2"}};
  const PointResult shut = solved(document);
  EXPECT_GT(value(shut, "idle_fan.flow"), 0.5 * value(open, "idle_fan.flow"));
  EXPECT_GT(value(shut, "radiator.flow"), value(open, "radiator.flow"));
}

// n ~ U^0.9: at 8 m/s a battery of 11 V instead of 13 V costs flow.
TEST(FanStates, ALowBatteryCostsFlow) {
  ordered_json document = crawling("on");
  const double full = value(solved(document), "radiator.flow");
  document["air"]["elements"]["fan"]["supply_voltage"] = "11 V";
  const double low = value(solved(document), "radiator.flow");
  EXPECT_LT(low, full);
  EXPECT_GT(low, 0.8 * full);
}

}  // namespace
}  // namespace corefeed::studies
