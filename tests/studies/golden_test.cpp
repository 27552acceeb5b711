// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "tests/support/golden.hpp"

/// The invented golden car at 50 m/s, solved independently by two programs of nested form (Newton on the
/// flow, fixed point on the heat) that agree with each other; their figures stand in
/// tests/data/golden-result.json.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::golden_result;
using corefeed::testing::read_text;

/// Compares every number of the golden result. Flows and pressures 1e-5 relative, temperatures 0.01 K.
void expect_golden(const model::Model& model) {
  const PointResult result = solve_point(model, model.points.front(), {});
  ASSERT_TRUE(result.solution.converged) << result.solution.explanation;
  int compared = 0;
  const auto compare = [&](const std::string& quantity, double expected) {
    const auto ours = result.solution.value(quantity);
    ASSERT_TRUE(ours.has_value()) << quantity;
    const bool temperature = quantity.find("temperature") != std::string::npos;
    EXPECT_NEAR(*ours, expected, temperature ? 0.01 : 1e-5 * std::abs(expected)) << quantity;
    ++compared;
  };
  const nlohmann::json point = golden_result()["points"][0];
  for (const char* group : {"elements", "nodes", "loops"}) {
    for (const auto& [name, numbers] : point[group].items()) {
      for (const auto& [what, number] : numbers.items()) compare(name + "." + what, number.get<double>());
    }
  }
  for (const auto& [what, number] : point["car"].items()) compare("car." + what, number.get<double>());
  EXPECT_EQ(compared, 70);  // none of the file is left out
}

TEST(Golden, EveryNumberAgrees) { expect_golden(read_text(golden_document().dump())); }

TEST(Golden, ElementsInReversedOrderGiveTheSame) {
  nlohmann::ordered_json document = golden_document();
  nlohmann::ordered_json turned = nlohmann::ordered_json::object();
  auto& elements = document["air"]["elements"];
  std::vector<std::string> names;
  for (const auto& [name, element] : elements.items()) names.insert(names.begin(), name);
  for (const std::string& name : names) turned[name] = elements[name];
  elements = turned;
  expect_golden(read_text(document.dump()));
}

TEST(Golden, ElementsInAnotherOrderGiveTheSame) {
  nlohmann::ordered_json document = golden_document();
  auto& elements = document["air"]["elements"];
  std::vector<std::string> names;
  for (const auto& [name, element] : elements.items()) names.push_back(name);
  nlohmann::ordered_json mixed = nlohmann::ordered_json::object();
  // 5 and 11 have no common factor, so every element comes up once.
  ASSERT_EQ(names.size(), 11U);
  for (std::size_t i = 0; i < names.size(); ++i)
    mixed[names[(5 * i + 3) % 11]] = elements[names[(5 * i + 3) % 11]];
  elements = mixed;
  expect_golden(read_text(document.dump()));
}

TEST(Golden, UncertaintyAgrees) {
  const model::Model model = read_text(golden_document().dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  const Uncertainty flow = uncertainty_of(model, result, "radiator.flow");
  const Uncertainty coolant = uncertainty_of(model, result, "coolant.temperature");
  // Sums of exact linear effects; the golden figures come from central differences.
  EXPECT_NEAR(flow.sigma, 0.06450538531053064, 1e-4 * 0.0645);
  EXPECT_NEAR(coolant.sigma, 7.1083073973894475, 1e-4 * 7.1);
  double without_heat = 0.0;
  for (const Influence& influence : flow.influences) {
    const bool heat =
        influence.parameter.ends_with("heat_load") || influence.parameter.ends_with("heat_transfer");
    if (!heat) without_heat += influence.effect * influence.effect;
  }
  EXPECT_NEAR(std::sqrt(without_heat), 0.06387585033429696, 1e-4 * 0.0639);
  EXPECT_EQ(flow.influences.front().parameter, "vent.cross_stream");
  EXPECT_EQ(coolant.influences.front().parameter, "coolant.heat_load");
}

TEST(Golden, BudgetAgrees) {
  const model::Model model = read_text(golden_document().dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  ASSERT_EQ(result.budgets.size(), 2U);
  const Budget& budget = result.budgets.front();
  ASSERT_EQ(budget.core, "radiator");
  const nlohmann::json expected = golden_result()["points"][0]["budget"]["radiator"];
  ASSERT_EQ(budget.lines.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(budget.lines[i].element, expected[i]["element"]);
    EXPECT_EQ(budget.lines[i].item, expected[i]["item"]);
    EXPECT_NEAR(budget.lines[i].loss, expected[i]["loss"].get<double>(), 1e-5 * budget.head);
    EXPECT_NEAR(budget.lines[i].share, expected[i]["share"].get<double>(), 1e-5);
  }
}

TEST(Golden, BudgetsSumToTheBoundaryHead) {
  const model::Model model = read_text(golden_document().dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  const losses::Surroundings& outside = result.built.problem.network.outside;
  // Both cores breathe out through the fender vent, at Cp -0.42.
  const double head = outside.total_pressure + 0.42 * outside.dynamic_head;
  for (const Budget& budget : result.budgets) EXPECT_NEAR(budget.head, head, 1e-9 * head) << budget.core;
}

}  // namespace
}  // namespace corefeed::studies
