// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/study.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "corefeed/model/parameter.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

/// The golden car with one requirement on the radiator's flow, 1.317 +- 0.0645 kg/s.
Study judged(const std::string& limit, double confidence, bool strict = false) {
  nlohmann::ordered_json document = golden_document();
  document["requirements"] =
      nlohmann::ordered_json::array({{{"name", "fed"}, {"quantity", "radiator.flow"}, {"at_least", limit}}});
  if (confidence > 0.0) document["requirements"][0]["confidence"] = confidence;
  StudyOptions options;
  options.strict = strict;
  return run_study(read_text(document.dump()), options).value();
}

TEST(Verdict, ClearOfTheBandIsMetOrNotMet) {
  const Study met = judged("1.24 kg/s", 0.0);
  EXPECT_EQ(met.requirements[0].judgments[0].verdict, Verdict::met);
  EXPECT_EQ(met.status, Status::done);
  const Study missed = judged("1.40 kg/s", 0.0);
  EXPECT_EQ(missed.requirements[0].judgments[0].verdict, Verdict::not_met);
  EXPECT_EQ(missed.status, Status::requirement_not_met);
}

TEST(Verdict, InsideTheBandIsTooCloseAndPassesUnlessConfidenceIsStated) {
  const Study open = judged("1.30 kg/s", 0.0);
  EXPECT_EQ(open.requirements[0].judgments[0].verdict, Verdict::too_close);
  EXPECT_EQ(open.status, Status::done);
  EXPECT_EQ(judged("1.30 kg/s", 0.9).status, Status::requirement_not_met);
  EXPECT_EQ(judged("1.30 kg/s", 0.0, true).status, Status::requirement_not_met);
}

TEST(Verdict, ConfidenceWidensTheBand) {
  // 1.317 - 1.22 = 0.097 is 1.5 sigma: enough at 0.84 (1.0 sigma), not at 0.95 (1.64 sigma).
  EXPECT_EQ(judged("1.22 kg/s", 0.84).status, Status::done);
  EXPECT_EQ(judged("1.22 kg/s", 0.95).status, Status::requirement_not_met);
}

TEST(Study, UnknownPointIsNamed) {
  StudyOptions options;
  options.points = {"slow straight"};
  const auto study = run_study(read_text(golden_document().dump()), options);
  ASSERT_FALSE(study.ok());
  EXPECT_EQ(study.issues().front().status, Status::usage);
  EXPECT_NE(study.issues().front().text.find("fast straight"), std::string::npos);
}

TEST(Study, TheWorstPointGoverns) {
  nlohmann::ordered_json document = golden_document();
  document["points"].push_back(
      {{"name", "slow"}, {"speed", "100 km/h"}, {"fans", {{"fan", "freewheeling"}}}});
  const Study study = run_study(read_text(document.dump())).value();
  const JudgedRequirement& fed = study.requirements[0];
  ASSERT_EQ(fed.judgments.size(), 2U);
  EXPECT_EQ(fed.judgments[fed.worst].point, "slow");
}

/// Exact derivatives with flow and heat coupled against re-solved central differences. Steps of 1e-5 leave
/// about 1e-8 of truncation and rounding.
TEST(Sensitivity, EveryDerivativeAgreesWithDifferences) {
  const model::Model model = read_text(golden_document().dump());
  const PointResult at = solve_point(model, model.points.front(), {});
  int compared = 0;
  for (const char* quantity :
       {"radiator.flow", "oil.temperature", "car.cooling_drag", "fender_vent.velocity"}) {
    for (const Influence& influence : uncertainty_of(model, at, quantity).influences) {
      const auto parameter = model::find_parameter(model, influence.parameter);
      if (!parameter) continue;  // one error shared by all vents is no single number of the model
      const double value = model::parameter_value(model, parameter.value());
      const double step = value == 0.0 ? 1e-7 : 1e-5 * std::abs(value);
      const auto moved = [&](double to) {
        model::Model changed = model;
        model::set_parameter(changed, parameter.value(), to);
        return *solve_point(changed, changed.points.front(), {}).solution.value(quantity);
      };
      // A bound at the value itself (an incidence of 0, say) leaves one side only.
      if (value - step < parameter.value().lowest || value + step > parameter.value().highest) continue;
      const double difference = (moved(value + step) - moved(value - step)) / (2.0 * step);
      EXPECT_NEAR(influence.derivative, difference, 1e-5 * std::abs(difference) + 1e-7 / step)
          << quantity << " over " << influence.parameter;
      ++compared;
    }
  }
  EXPECT_GT(compared, 100);
}

bool warns(const PointResult& result, std::string_view code, std::string_view element) {
  return std::any_of(result.warnings.begin(), result.warnings.end(), [&](const Issue& issue) {
    return issue.code == code && issue.place.pointer == element;
  });
}

TEST(Warnings, ARunningFanThatFeedsBackIsNamed) {
  nlohmann::ordered_json document = golden_document();
  document["points"][0]["speed"] = "29 km/h";
  document["points"][0]["fans"]["fan"] = "on";
  document["loops"]["coolant"]["heat_load"] = "12 kW";
  document["loops"]["oil"]["heat_load"] = "1 kW";
  const model::Model model = read_text(document.dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  ASSERT_TRUE(result.solution.converged) << result.solution.explanation;
  // 8 m/s, 12 and 1.0 kW: the fan lifts the flow through the radiator from 0.136 to 0.387 kg/s and turns the
  // flow of the ducted oil cooler round (independent solution).
  EXPECT_NEAR(*result.solution.value("radiator.flow"), 0.387, 0.005);
  EXPECT_LT(*result.solution.value("oil_cooler.flow"), 0.0);
  EXPECT_TRUE(warns(result, "fan_back_feeds", "oil_cooler"));
  EXPECT_TRUE(warns(result, "reversed", "flank_inlet"));
}

TEST(Warnings, OutsideALawsRange) {
  nlohmann::ordered_json document = golden_document();
  document["air"]["elements"]["nose_inlet"]["area"] = "100 cm2";
  document["air"]["elements"]["nose_diffuser"]["inlet_area"] = "100 cm2";
  const model::Model model = read_text(document.dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  EXPECT_TRUE(warns(result, "out_of_range", "nose_inlet"));
}

/// Invented car, fan states at 50 m/s, radiator flow by an independent solution: no wheel 1.320,
/// windmill 1.317, stopped 1.262, running 1.336 kg/s.
TEST(Fans, StatesAtSpeed) {
  const std::vector<std::pair<std::string, double>> states{
      {"removed", 1.320}, {"freewheeling", 1.317}, {"stopped", 1.262}, {"on", 1.336}};
  for (const auto& [state, flow] : states) {
    nlohmann::ordered_json document = golden_document();
    document["points"][0]["fans"]["fan"] = state;
    const model::Model model = read_text(document.dump());
    const PointResult result = solve_point(model, model.points.front(), {});
    // Printed to four digits.
    EXPECT_NEAR(*result.solution.value("radiator.flow"), flow, 6e-4) << state;
  }
}

}  // namespace
}  // namespace corefeed::studies
