// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/compare.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

using Change = std::function<void(ordered_json&)>;

Alternative golden(const std::string& name, const Change& change = {}) {
  ordered_json document = golden_document();
  if (change) change(document);
  return {name, read_text(document.dump())};
}

void without_fan(ordered_json& car) {
  car["air"]["elements"].erase("fan");
  car["points"][0].erase("fans");
}

void with_larger_vent(ordered_json& car) { car["air"]["elements"]["fender_vent"]["area"] = "500 cm2"; }

Comparison compared(const std::vector<Alternative>& alternatives, const StudyOptions& options = {}) {
  Result<Comparison> comparison = compare(alternatives, options);
  if (!comparison) throw std::runtime_error(describe(comparison.issues().front()));
  return std::move(comparison).value();
}

const ComparedQuantity& row(const Comparison& comparison, const std::string& quantity) {
  const auto& rows = comparison.points.front().quantities;
  const auto found = std::find_if(rows.begin(), rows.end(), [&quantity](const ComparedQuantity& one) {
    return one.quantity == quantity;
  });
  if (found == rows.end()) throw std::runtime_error("no row " + quantity);
  return *found;
}

const ComparedElement& element(const ComparedBudget& budget, const std::string& name) {
  const auto found = std::find_if(budget.elements.begin(), budget.elements.end(),
                                  [&name](const ComparedElement& one) { return one.name == name; });
  if (found == budget.elements.end()) throw std::runtime_error("no element " + name);
  return *found;
}

std::string code_of(const std::vector<Alternative>& alternatives, const StudyOptions& options = {}) {
  const Result<Comparison> comparison = compare(alternatives, options);
  return comparison ? "none" : comparison.issues().front().code;
}

TEST(Compare, ChangesAreThoseOfSeparateStudies) {
  const std::vector<Alternative> cars{golden("base"), golden("vent", with_larger_vent)};
  const Comparison comparison = compared(cars);
  for (const char* quantity :
       {"radiator.flow", "radiator.face_velocity", "oil.temperature", "car.cooling_drag"}) {
    const auto alone = [&](std::size_t car) {
      return *run_study(cars[car].model).value().points.front().solution.value(quantity);
    };
    const ComparedQuantity& one = row(comparison, quantity);
    EXPECT_EQ(one.values[0].value, alone(0)) << quantity;
    EXPECT_EQ(one.values[1].change, alone(1) - alone(0)) << quantity;
    EXPECT_EQ(one.values[0].weight, Weight::same);
  }
  EXPECT_EQ(comparison.status, Status::done);
}

TEST(Compare, ACarIsTheSameAsItself) {
  const Comparison comparison = compared({golden("a"), golden("b")});
  for (const ComparedQuantity& one : comparison.points.front().quantities)
    EXPECT_EQ(one.values[1].weight, Weight::same) << one.quantity;
  for (const Ranking& ranking : comparison.rankings) EXPECT_EQ(ranking.places[1].rank, 1);
  EXPECT_TRUE(comparison.points.front().largest[1].empty());
  EXPECT_TRUE(comparison.warnings.empty());
}

/// By hand: the core's air loss is the one thing whose number changed, so its two errors are added in
/// squares, and all else cancels as far as both cars feel it alike.
TEST(Compare, CommonErrorsCancelAndChangedNumbersKeepTheirOwn) {
  const std::vector<Alternative> cars{golden("base"), golden("core", [](ordered_json& car) {
                                        car["air"]["elements"]["radiator"]["air_loss"]["quadratic"] =
                                            "6.6 Pa s2/m2";
                                      })};
  const Comparison comparison = compared(cars);
  const PointResult& first = comparison.studies[0].points.front();
  const PointResult& other = comparison.studies[1].points.front();
  const Uncertainty a = uncertainty_of(cars[0].model, first, "radiator.flow");
  const Uncertainty b = uncertainty_of(cars[1].model, other, "radiator.flow");
  double variance = 0.0;
  for (const Influence& in_first : a.influences) {
    for (const Influence& in_other : b.influences) {
      if (in_first.parameter != in_other.parameter) continue;
      const bool own = in_first.parameter == "radiator.air_loss.quadratic";
      variance += own ? std::pow(in_first.effect, 2) + std::pow(in_other.effect, 2)
                      : std::pow(in_other.effect - in_first.effect, 2);
    }
  }
  const ComparedValue& flow = row(comparison, "radiator.flow").values[1];
  EXPECT_NEAR(flow.sigma, std::sqrt(variance), 1e-12);
  EXPECT_GT(flow.sigma, 0.0);
  // Far below what two unrelated cars would have.
  EXPECT_LT(flow.sigma, 0.7 * std::hypot(a.sigma, b.sigma));
}

TEST(Compare, ADifferenceBelowItsBandIsMarked) {
  const auto core = [](const char* loss) {
    return [loss](ordered_json& car) { car["air"]["elements"]["radiator"]["air_loss"]["quadratic"] = loss; };
  };
  const Comparison comparison =
      compared({golden("base"), golden("nearly", core("6.02 Pa s2/m2")), golden("far", core("12 Pa s2/m2"))});
  const ComparedQuantity& flow = row(comparison, "radiator.flow");
  EXPECT_EQ(flow.values[1].weight, Weight::within_band);
  EXPECT_EQ(flow.values[2].weight, Weight::clear);
  const auto fed = std::find_if(comparison.rankings.begin(), comparison.rankings.end(),
                                [](const Ranking& one) { return one.quantity == "radiator.flow"; });
  ASSERT_NE(fed, comparison.rankings.end());
  ASSERT_EQ(fed->places.size(), 3u);
  EXPECT_EQ(fed->places[0].rank, fed->places[1].rank);
  EXPECT_EQ(fed->places[2].alternative, 2u);
  EXPECT_EQ(fed->places[2].rank, 2);
}

TEST(Compare, WhatOneAlternativeLacksIsAbsent) {
  const Comparison comparison = compared({golden("base"), golden("no_fan", without_fan)});
  const ComparedQuantity& power = row(comparison, "fan.power");
  EXPECT_TRUE(power.values[0].value.has_value());
  EXPECT_FALSE(power.values[1].value.has_value());
  EXPECT_EQ(power.values[1].weight, Weight::unknown);
  // The same fan, the other way round.
  EXPECT_FALSE(row(compared({golden("no_fan", without_fan), golden("base")}), "fan.power").values[0].value);
}

/// Fan and flaps side by side are one way from shroud to bay; where the fan is gone, the flaps alone are.
TEST(Compare, TheSameWayStandsInOneRow) {
  const Comparison comparison = compared({golden("base"), golden("no_fan", without_fan)});
  const ComparedBudget& budget = comparison.points.front().budgets.front();
  ASSERT_EQ(budget.core, "radiator");
  const ComparedElement& way = element(budget, "shroud_box -> engine_bay");
  EXPECT_EQ(way.losses[0].presence, Presence::on_path);
  EXPECT_EQ(way.losses[1].presence, Presence::on_path);
  EXPECT_EQ(way.losses[1].loss,
            *comparison.studies[1].points.front().solution.value("ram_flaps.pressure_loss"));
}

TEST(Compare, RowsOfABudgetSumToItsHead) {
  const Comparison comparison =
      compared({golden("base"), golden("no_fan", without_fan), golden("screen", [](ordered_json& car) {
                  auto& elements = car["air"]["elements"];
                  elements["fender_vent"]["from"] = "screened";
                  elements["grille"] = {{"kind", "loss"},
                                        {"from", "engine_bay"},
                                        {"to", "screened"},
                                        {"area", "500 cm2"},
                                        {"loss", 0.4}};
                })});
  for (const ComparedBudget& budget : comparison.points.front().budgets) {
    for (std::size_t a = 0; a < 3; ++a) {
      double sum = 0.0;
      for (const ComparedElement& one : budget.elements) sum += one.losses[a].loss;
      ASSERT_TRUE(budget.heads[a].has_value());
      EXPECT_NEAR(sum, *budget.heads[a], 1e-9 * std::abs(*budget.heads[a])) << budget.core << a;
    }
    const ComparedElement& grille = element(budget, "grille");
    EXPECT_EQ(grille.losses[0].presence, Presence::absent);
    EXPECT_EQ(grille.losses[2].presence, Presence::on_path);
    EXPECT_EQ(grille.losses[2].change, grille.losses[2].loss);
    // In the order of the flow: before the vent it stands in front of.
    EXPECT_EQ(budget.elements.back().name, "fender_vent");
  }
}

TEST(Compare, TheLargestDifferencesAreClearAndAtMostThree) {
  const Comparison comparison = compared({golden("base"), golden("small", [](ordered_json& car) {
                                            car["air"]["elements"]["fender_vent"]["area"] = "200 cm2";
                                          })});
  const ComparedPoint& point = comparison.points.front();
  ASSERT_EQ(point.largest[1].size(), 3u);
  EXPECT_TRUE(point.largest[0].empty());
  bool seen_loss = false;
  for (const Highlight& one : point.largest[1]) {
    if (one.loss) {
      seen_loss = true;
      continue;
    }
    EXPECT_FALSE(seen_loss) << "effects stand before reasons";
    EXPECT_EQ(point.quantities[one.row].values[1].weight, Weight::clear);
  }
  EXPECT_TRUE(seen_loss);
}

TEST(Compare, RankingsPutTheBestFirst) {
  const Comparison comparison =
      compared({golden("base"), golden("vent", with_larger_vent), golden("small", [](ordered_json& car) {
                  car["air"]["elements"]["fender_vent"]["area"] = "250 cm2";
                })});
  std::vector<std::string> ranked;
  for (const Ranking& ranking : comparison.rankings) {
    ASSERT_EQ(ranking.places.size(), 3u);
    ranked.push_back(ranking.quantity);
    EXPECT_EQ(ranking.places[0].alternative, 1u) << ranking.quantity;
    EXPECT_EQ(ranking.places[2].alternative, 2u) << ranking.quantity;
  }
  // Each loop's temperature once, by its requirement or by itself.
  EXPECT_EQ(std::count(ranked.begin(), ranked.end(), "coolant.temperature"), 1);
  EXPECT_EQ(std::count(ranked.begin(), ranked.end(), "oil.temperature"), 1);
}

TEST(Compare, PointsAreMatchedByName) {
  const auto add_slow = [](bool in_front) {
    return [in_front](ordered_json& car) {
      ordered_json slow = car["points"][0];
      slow["name"] = "slow";
      slow["speed"] = "60 km/h";
      car["points"].insert(in_front ? car["points"].begin() : car["points"].end(), slow);
    };
  };
  const Comparison comparison = compared({golden("a", add_slow(true)), golden("b", add_slow(false))});
  ASSERT_EQ(comparison.points.size(), 2u);
  EXPECT_EQ(comparison.points[0].name, "slow");
  EXPECT_EQ(comparison.studies[1].points[0].name, "slow");
  for (const ComparedPoint& point : comparison.points) {
    for (const ComparedQuantity& one : point.quantities)
      EXPECT_EQ(one.values[1].weight, Weight::same) << one.quantity;
  }
  const std::vector<Alternative> uneven{golden("base"), golden("more", add_slow(true))};
  const Result<Comparison> refused = compare(uneven);
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(refused.issues().front().code, "missing_point");
  EXPECT_EQ(refused.issues().front().status, Status::input);
  EXPECT_NE(refused.issues().front().text.find("base lacks the point \"slow\""), std::string::npos);
  StudyOptions common;
  common.points = {"fast straight"};
  EXPECT_EQ(code_of(uneven, common), "none");
  common.points = {"nowhere"};
  EXPECT_EQ(code_of(uneven, common), "unknown_point");
}

TEST(Compare, OtherConditionsAreToldOnce) {
  const Comparison comparison = compared({golden("base"), golden("hot", [](ordered_json& car) {
                                            car["ambient"]["temperature"] = "41 degC";
                                            car["points"][0]["speed"] = "150 km/h";
                                          })});
  ASSERT_EQ(comparison.warnings.size(), 2u);
  EXPECT_EQ(comparison.warnings[0].severity, Severity::warning);
  EXPECT_NE(comparison.warnings[0].text.find("41 degC in hot"), std::string::npos);
  EXPECT_NE(comparison.warnings[1].text.find("150 km/h"), std::string::npos);
}

TEST(Compare, APointWithoutSolutionHasNoDifference) {
  StudyOptions hopeless;
  hopeless.solver.most_iterations = 1;
  const Comparison comparison = compared({golden("base"), golden("vent", with_larger_vent)}, hopeless);
  EXPECT_EQ(comparison.status, Status::no_solution);
  const ComparedQuantity& flow = row(comparison, "radiator.flow");
  EXPECT_FALSE(flow.values[1].value.has_value());
  EXPECT_EQ(flow.values[1].weight, Weight::unknown);
  EXPECT_TRUE(comparison.rankings.empty());
  EXPECT_TRUE(comparison.points.front().largest[1].empty());
}

}  // namespace
}  // namespace corefeed::studies
