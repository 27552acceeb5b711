// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/golden.hpp"

/// Samples and exact derivatives against figures from outside: the golden car's bands were found by two
/// independent programs, one with central differences, both with 2,000 samples.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;

struct Golden {
  model::Model model = read_text(golden_document().dump());
  PointResult result = solve_point(model, model.points.front(), {});
};

const Sampled& quantity(const Samples& samples, std::string_view name) {
  for (const Sampled& one : samples.quantities) {
    if (one.quantity == name) return one;
  }
  throw std::runtime_error("not sampled");
}

TEST(Sampling, GoldenBandsAgreeWithTwoIndependentPrograms) {
  const Golden golden;
  const Samples samples = sample(golden.model, golden.result, {.samples = 2000, .seed = 1});
  constexpr double share = 0.05;
  const Sampled& radiator = quantity(samples, "radiator.flow");
  EXPECT_NEAR(radiator.linear_sigma, 0.0645, share * 0.0645);
  EXPECT_NEAR(radiator.sigma, 0.0646, share * 0.0646);
  const Sampled& cooler = quantity(samples, "oil_cooler.flow");
  EXPECT_NEAR(cooler.linear_sigma, 0.0480, share * 0.0480);
  EXPECT_NEAR(cooler.sigma, 0.0517, share * 0.0517);
  const Sampled& coolant = quantity(samples, "coolant.temperature");
  EXPECT_NEAR(coolant.linear_sigma, 7.11, share * 7.11);
  EXPECT_NEAR(coolant.sigma, 7.15, share * 7.15);
  EXPECT_NEAR(quantity(samples, "oil.temperature").linear_sigma, 19.9, share * 19.9);
  EXPECT_FALSE(radiator.differs);
  EXPECT_FALSE(coolant.differs);
}

TEST(Sampling, SameSeedGivesTheSameAndAnotherDoesNot) {
  const Golden golden;
  const auto sigma = [&golden](std::uint64_t seed) {
    return quantity(sample(golden.model, golden.result, {.samples = 50, .seed = seed}), "radiator.flow")
        .sigma;
  };
  EXPECT_EQ(sigma(7), sigma(7));
  EXPECT_NE(sigma(7), sigma(8));
}

TEST(Sampling, WideBandIsNotLinearAndTheStudySaysSo) {
  nlohmann::ordered_json document = golden_document();
  document["air"]["elements"]["flank_inlet"]["recovery"] = {{"value", 0.72}, {"sigma", 0.5}};
  StudyOptions options;
  options.sampling = {.samples = 300, .seed = 3};
  const Result<Study> study = run_study(read_text(document.dump()), options);
  ASSERT_TRUE(study.ok());
  const auto& warnings = study.value().points.front().warnings;
  const bool said = std::any_of(warnings.begin(), warnings.end(),
                                [](const Issue& issue) { return issue.code == "not_linear"; });
  const bool turned = std::any_of(warnings.begin(), warnings.end(),
                                  [](const Issue& issue) { return issue.code == "reverses"; });
  EXPECT_TRUE(said);
  EXPECT_TRUE(turned);
}

/// Derivative by central differences of two steps, extrapolated: the error falls with the step's fourth
/// power.
double difference(const cooling::Case& problem, const cooling::Parameter& parameter,
                  std::string_view quantity) {
  const auto at = [&](double share) {
    cooling::Case moved = problem;
    const auto index = static_cast<std::size_t>(parameter.index);
    double& number = parameter.owner == cooling::Parameter::Owner::element
                         ? moved.network.elements[index].numbers[parameter.key]
                         : (parameter.key == 0 ? moved.loops[index].flow : moved.loops[index].heat_load);
    number *= 1.0 + share;
    return *cooling::solve(moved, {.tolerance = 1e-12}).value(quantity);
  };
  constexpr double step = 1e-3;
  const double wide = (at(step) - at(-step)) / (2.0 * step);
  const double narrow = (at(0.5 * step) - at(-0.5 * step)) / step;
  return (4.0 * narrow - wide) / 3.0;
}

TEST(Sampling, AdjointAgreesWithCentralDifferencesWithHeatCoupled) {
  const Golden golden;
  const cooling::Case& problem = golden.result.built.problem;
  for (const char* quantity : {"radiator.flow", "coolant.temperature", "oil.temperature"}) {
    const double value = *golden.result.solution.value(quantity);
    int compared = 0;
    for (const cooling::Parameter& one : golden.result.solution.gradient(quantity)) {
      const auto index = static_cast<std::size_t>(one.index);
      double number = 0.0;
      if (one.owner == cooling::Parameter::Owner::element) {
        const network::Element& element = problem.network.elements[index];
        const losses::Key& key = element.kind->keys[one.key];
        if (!key.choices.empty() || key.refers != losses::Refers::nothing || key.curve != nullptr) continue;
        number = element.numbers[one.key];
      } else {
        number = one.key == 0 ? problem.loops[index].flow : problem.loops[index].heat_load;
      }
      const double exact = one.derivative * number;
      // What moves the quantity by less than 1e-5 of itself for all of its own size is lost in the rounding.
      if (std::abs(exact) < 1e-5 * std::abs(value)) continue;
      ++compared;
      EXPECT_NEAR(difference(problem, one, quantity), exact, 1e-6 * std::abs(exact) + 1e-9 * std::abs(value))
          << quantity << " by number " << one.key << " of " << one.index;
    }
    EXPECT_GT(compared, 20) << quantity;
  }
}

}  // namespace
}  // namespace corefeed::studies
