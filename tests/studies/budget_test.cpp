// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/budget.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/network/random_networks.hpp"
#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

double number_of(const network::Element& element, std::string_view key) {
  const std::size_t place = losses::find_key(*element.kind, key);
  return place == losses::npos ? 0.0 : element.numbers[place];
}

/// Pressure at an end of a budget, Pa above ambient, from the boundary conditions: the freestream's total
/// pressure where air enters through an inlet, what of it the mouth recovers where it leaves by one against
/// the wind, Cp q at a vent, the node's where the stream begins or ends inside.
double pressure_at(const PointResult& result, const std::string& end, bool enters) {
  const network::Network& net = result.built.problem.network;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (net.nodes[n].name == end) return result.solution.nodes[n].total_pressure;
  }
  for (const network::Element& element : net.elements) {
    if (element.name != end) continue;
    const bool inlet = element.from == network::none;
    const double lost = inlet && !enters ? *result.solution.value(end + ".ram_not_recovered") : 0.0;
    return inlet ? net.outside.total_pressure - lost : number_of(element, "cp") * net.outside.dynamic_head;
  }
  throw std::runtime_error("no end " + end);
}

/// How far the lines of a budget miss the head between its ends, over the largest pressure that plays a part.
double miss(const PointResult& result, const Budget& budget) {
  const double begin = pressure_at(result, budget.from, true);
  const double end = pressure_at(result, budget.to, false);
  double sum = 0.0;
  // A car at rest without a fan has no head: what is left there is the solver's residual.
  constexpr double least = 0.1;  // Pa
  double largest = std::max({least, std::abs(begin), std::abs(end), std::abs(begin - end)});
  for (const BudgetLine& line : budget.lines) {
    sum += line.loss;
    largest = std::max(largest, std::abs(line.loss));
  }
  return std::abs(sum - (begin - end)) / largest;
}

PointResult solved(const cooling::Case& problem) {
  PointResult result;
  result.built.problem = problem;
  cooling::SolveOptions options;
  options.look_for_others = false;  // one state is enough to be added up
  result.solution = cooling::solve(problem, options);
  if (result.solution.converged) result.budgets = budgets_of(result);
  return result;
}

/// The promise of the budget, relative.
constexpr double promised = 1e-9;

TEST(Budget, SumsToTheBoundaryHeadInRandomNetworks) {
  int budgets = 0;
  double worst = 0.0;
  for (std::uint64_t seed = 1; seed <= COREFEED_RANDOM_NETWORKS; ++seed) {
    const PointResult result = solved(network::testing::random_case(seed));
    for (const Budget& budget : result.budgets) {
      const double here = miss(result, budget);
      ASSERT_LE(here, promised) << "seed " << seed << ", " << budget.core << " from " << budget.from << " to "
                                << budget.to << "\n"
                                << network::testing::description(result.built.problem);
      worst = std::max(worst, here);
      ++budgets;
    }
  }
  RecordProperty("budgets", budgets);
  EXPECT_GT(budgets, COREFEED_RANDOM_NETWORKS);  // one a network and more
}

TEST(Budget, SumsToTheBoundaryHeadOfTheGoldenCar) {
  const model::Model model = corefeed::testing::read_text(corefeed::testing::golden_document().dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  ASSERT_EQ(result.budgets.size(), 2U);
  EXPECT_EQ(result.budgets.front().from, "nose_inlet");
  EXPECT_EQ(result.budgets.front().to, "fender_vent");
  EXPECT_EQ(result.budgets.back().from, "flank_inlet");
  for (const Budget& budget : result.budgets) EXPECT_LE(miss(result, budget), promised) << budget.core;
}

/// The samples that take nothing from CAD; those that do are added up in the pipeline's tests.
TEST(Budget, SumsToTheBoundaryHeadInEverySample) {
  for (const char* name : {"oil_loop", "oil_cooler_bench"}) {
    const std::string path = std::string(COREFEED_SOURCE_DIR "/geometry_samples/") + name + ".corefeed";
    const Result<model::Model> model = model::read_model(path);
    ASSERT_TRUE(model.ok()) << describe(model.issues().front());
    for (const model::Point& point : model.value().points) {
      const PointResult result = solve_point(model.value(), point, {});
      ASSERT_FALSE(result.budgets.empty()) << name;
      for (const Budget& budget : result.budgets)
        EXPECT_LE(miss(result, budget), promised) << name << ", " << point.name << ", " << budget.core;
    }
  }
}

TEST(Budget, PiecesOfADuctCountTogether) {
  Budget budget;
  budget.lines = {{"nose_duct/1 bend", "turning", 10.0, 0.1},
                  {"radiator", "matrix", 60.0, 0.6},
                  {"nose_duct/2 diffuser", "expansion", 30.0, 0.3}};
  const std::vector<Eater> eaters = eaters_of(budget);
  ASSERT_EQ(eaters.size(), 2U);
  EXPECT_EQ(eaters[1].name, "nose_duct");
  EXPECT_DOUBLE_EQ(eaters[1].share, 0.4);
  EXPECT_EQ(eaters[1].part, "nose_duct/2 diffuser");
}

}  // namespace
}  // namespace corefeed::studies
