// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <set>
#include <string>

#include "tests/losses/demand.hpp"

// What holds for every element kind, known from its row alone: a new law is tested here without an edit.
namespace corefeed::losses {
namespace {

using testing::demand;
using testing::demand_at;
using testing::flow_at;
using testing::is_monotone;
using testing::LawCase;
using testing::slope_at;
using testing::Variant;

class EveryLaw : public ::testing::TestWithParam<const Kind*> {};

std::vector<const Kind*> kinds_with_a_law() {
  std::vector<const Kind*> list;
  for (const Kind* kind : kinds()) {
    if (kind->law != nullptr) list.push_back(kind);
  }
  return list;
}

/// A car at 40 m/s with hot air on the downstream side.
LawCase on_the_road(LawCase law) {
  law.outside = testing::moving_air(40.0);
  law.state = {0.0, 620.0, 540.0, 305.0, 330.0, 350.0};
  return law;
}

constexpr FanState fan_states[] = {FanState::on, FanState::freewheeling, FanState::stopped,
                                   FanState::removed};

std::string label(const LawCase& law, std::size_t seed) {
  static const char* const states[] = {"mass_flow",        "pressure_from",  "pressure_to",
                                       "temperature_from", "temperature_to", "temperature_out"};
  return seed < testing::state_numbers ? states[seed]
                                       : std::string(law.kind().keys[seed - testing::state_numbers].name);
}

double middle_step(const LawCase& law, std::size_t seed, double value) {
  double step = value == 0.0 ? 1e-8 : 1e-5 * std::abs(value);
  // A parameter such as a fillet may stand at its bound of 0, beyond which its law need not mean anything.
  if (seed == 0) step = 1e-5 * std::abs(flow_at(law, 1.0));
  return step;
}

/// Central difference and dual number of boundary pressure, items and results agree.
void expect_exact_derivative(const LawCase& law, std::size_t seed, const std::string& where) {
  const Terms<double> value = law.terms();
  const Terms<Dual> dual = law.derivative(seed);
  LawCase moved = law;
  const double at = moved.at(seed);
  const double step = middle_step(law, seed, at);
  moved.at(seed) = at + step;
  const Terms<double> above = moved.terms();
  moved.at(seed) = at - step;
  const Terms<double> below = moved.terms();
  const auto compare = [&](double v, const Dual& d, double high, double low, const std::string& what) {
    EXPECT_EQ(d.value(), v) << where << what;
    // The difference's own error: rounding of v over the step, and the third derivative times step squared.
    const double expected = (high - low) / (2.0 * step);
    const double rounding = 1e-15 * (std::abs(v) + 1e3) / step;
    EXPECT_NEAR(d.derivatives()[0], expected, 1e-5 * std::abs(expected) + 50.0 * rounding)
        << where << what << " by " << label(law, seed);
  };
  compare(value.boundary, dual.boundary, above.boundary, below.boundary, "boundary");
  for (std::size_t i = 0; i < most_items; ++i) {
    compare(value.item[i], dual.item[i], above.item[i], below.item[i], "item " + std::to_string(i));
  }
  for (std::size_t i = 0; i < most_reported; ++i) {
    compare(value.reported[i], dual.reported[i], above.reported[i], below.reported[i],
            "result " + std::to_string(i));
  }
}

bool is_a_number(const Key& key) {
  return key.choices.empty() && key.refers == Refers::nothing && key.curve == nullptr;
}

TEST_P(EveryLaw, DerivativesAreExact) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    LawCase law = on_the_road(variant.law);
    for (const double velocity : {-31.0, -4.3, -0.7, 0.7, 4.3, 31.0}) {
      law.state.mass_flow = flow_at(law, velocity);
      const std::string where = variant.name + " at " + std::to_string(velocity) + " m/s, ";
      for (std::size_t seed = 0; seed < testing::state_numbers; ++seed)
        expect_exact_derivative(law, seed, where);
      for (std::size_t i = 0; i < law.kind().keys.size(); ++i) {
        if (is_a_number(law.kind().keys[i])) expect_exact_derivative(law, testing::state_numbers + i, where);
      }
    }
  }
}

/// What remains at zero flow after subtracting slope times step from either side.
double remainder_at_rest(LawCase law, double step) {
  law.state.mass_flow = flow_at(law, step);
  return demand(law.terms(), law.kind().ends) - slope_at(law, step) * law.state.mass_flow;
}

// With cold air on one side and hot air on the other: at most 1e-9 of the dynamic head at 30 m/s.
TEST_P(EveryLaw, IsContinuousAtZeroFlow) {
  const double allowed = 1e-9 * 0.5 * 1.2 * 30.0 * 30.0;
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    for (const FanState fan_state : fan_states) {
      LawCase law = on_the_road(variant.law);
      law.fan_state = fan_state;
      const double at_rest = demand_at(law, 0.0);
      EXPECT_NEAR(remainder_at_rest(law, 1e-6), at_rest, allowed) << variant.name;
      EXPECT_NEAR(remainder_at_rest(law, -1e-6), at_rest, allowed) << variant.name;
    }
  }
}

// A flow of exactly zero has the slope of one side or one between them: where it had none, a network in which
// nothing moves would have no Jacobian.
TEST_P(EveryLaw, HasTheSlopeOfASideAtRest) {
  constexpr double close_to_rest = 1e-9;  // m/s, a millionth of what velocities are rounded off over
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    for (const FanState fan_state : fan_states) {
      LawCase law = on_the_road(variant.law);
      law.fan_state = fan_state;
      const double before = slope_at(law, -close_to_rest);
      const double behind = slope_at(law, close_to_rest);
      const double allowed = 1e-5 * std::max(std::abs(before), std::abs(behind));
      const double at_rest = slope_at(law, 0.0);
      EXPECT_GE(at_rest, std::min(before, behind) - allowed) << variant.name;
      EXPECT_LE(at_rest, std::max(before, behind) + allowed) << variant.name;
    }
  }
}

// The flow turned round: -30 to +30 m/s without a hole, and in steps of 1e-6 m/s around zero no jump larger
// than 1e-9 of the dynamic head at 30 m/s, what the slope explains subtracted.
TEST_P(EveryLaw, TurnsRoundWithoutAJump) {
  const double allowed = 1e-9 * 0.5 * 1.2 * 30.0 * 30.0;
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    LawCase law = on_the_road(variant.law);
    for (int i = -3000; i <= 3000; ++i) {
      const double found = demand_at(law, 0.01 * i);
      ASSERT_TRUE(std::isfinite(found)) << variant.name << " at " << 0.01 * i << " m/s";
    }
    for (int i = -20; i < 20; ++i) {
      const double slope = slope_at(law, 1e-6 * (i < 0 ? i : i + 1));
      const double step = demand_at(law, 1e-6 * (i + 1)) - demand_at(law, 1e-6 * i);
      EXPECT_NEAR(step, slope * flow_at(law, 1e-6), allowed) << variant.name << " at " << i << " um/s";
    }
  }
}

TEST_P(EveryLaw, NeedsMoreHeadForMoreFlow) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    if (!is_monotone(variant.law)) continue;
    for (const double speed : {0.0, 10.0, 40.0}) {
      LawCase law = variant.law;
      law.outside = testing::moving_air(speed);
      double before = demand_at(law, -5.0);
      for (int i = -499; i <= 500; ++i) {
        const double now = demand_at(law, 0.01 * i);
        EXPECT_GE(now, before) << variant.name << " at " << 0.01 * i << " m/s, car at " << speed << " m/s";
        before = now;
      }
    }
  }
}

// The same up to speeds that only a leak or a fan's ring sees.
TEST_P(EveryLaw, NeedsMoreHeadUpToHighSpeed) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    if (!is_monotone(variant.law)) continue;
    LawCase law = variant.law;
    law.outside = testing::moving_air(40.0);
    for (double velocity = -60.0; velocity < 60.0; velocity += 0.25) {
      EXPECT_GE(demand_at(law, velocity + 0.25), demand_at(law, velocity))
          << variant.name << " at " << velocity << " m/s";
    }
  }
}

TEST_P(EveryLaw, GivesFiniteNumbersOverTheRange) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    for (const bool plenum : {false, true}) {
      LawCase law = on_the_road(variant.law);
      law.from_plenum = law.to_plenum = plenum;
      for (const double velocity : {-150.0, -30.0, -1.0, -1e-9, 0.0, 1e-9, 1.0, 30.0, 150.0, 400.0}) {
        law.state.mass_flow = flow_at(law, velocity);
        const Terms<double> terms = law.terms();
        const Terms<Dual> slope = law.derivative(0);
        EXPECT_TRUE(std::isfinite(terms.boundary));
        EXPECT_TRUE(std::isfinite(slope.pressure_loss().derivatives()[0])) << variant.name << velocity;
        for (const double item : terms.item) EXPECT_TRUE(std::isfinite(item)) << variant.name << velocity;
        for (const double number : terms.reported)
          EXPECT_TRUE(std::isfinite(number)) << variant.name << velocity;
      }
    }
  }
}

// A trial state of the solver may be far outside physics: below vacuum and cold.
TEST_P(EveryLaw, SurvivesTrialStatesOfTheSolver) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    LawCase law = on_the_road(variant.law);
    law.state = {flow_at(law, 25.0), -3e5, 4e5, 250.0, 600.0, 40.0};
    EXPECT_TRUE(std::isfinite(law.loss())) << variant.name;
    law.state.mass_flow = -law.state.mass_flow;
    EXPECT_TRUE(std::isfinite(law.loss())) << variant.name;
  }
}

TEST_P(EveryLaw, GivesTheSameBitsTwice) {
  for (const Variant& variant : testing::variants_of(*GetParam())) {
    LawCase law = on_the_road(variant.law);
    for (const double velocity : {-7.0, 0.3, 19.0}) {
      law.state.mass_flow = flow_at(law, velocity);
      EXPECT_EQ(std::bit_cast<std::uint64_t>(law.loss()), std::bit_cast<std::uint64_t>(law.loss()));
    }
  }
}

TEST_P(EveryLaw, HasACompleteRow) {
  const Kind& kind = *GetParam();
  EXPECT_FALSE(kind.title.empty());
  EXPECT_FALSE(kind.meaning.empty());
  EXPECT_FALSE(kind.formula.empty());
  EXPECT_FALSE(kind.reference.empty());
  EXPECT_FALSE(kind.reversed.empty());
  EXPECT_FALSE(kind.range.empty());
  EXPECT_FALSE(kind.source.empty());
  EXPECT_GT(kind.band, 0.0);
  EXPECT_GE(kind.items.size(), 1U);
  EXPECT_LE(kind.items.size(), most_items);
  EXPECT_LE(kind.reported.size(), most_reported);
  EXPECT_LE(kind.keys.size(), 64U) << "`given` holds 64 bits";
  std::set<std::string_view> names;
  for (const Key& key : kind.keys) {
    EXPECT_FALSE(key.meaning.empty()) << key.name;
    EXPECT_TRUE(names.insert(key.name).second) << key.name << " stands twice";
    EXPECT_LE(key.lowest, key.highest) << key.name;
    // A number that carries an uncertainty of its own says where that comes from; a measured one may not.
    const bool uncertain = key.spread_of != nullptr || key.spread.relative > 0.0 || key.spread.absolute > 0.0;
    EXPECT_TRUE(!key.source.empty() || !uncertain || key.need != Need::standard) << key.name;
    if (key.need != Need::standard) continue;
    EXPECT_GE(key.standard, key.lowest) << key.name;
    EXPECT_LE(key.standard, key.highest) << key.name;
    // 0 and 1 stand for "no such effect", a right angle for a plain opening.
    const bool neutral = key.standard == 0.0 || key.standard == 1.0 || key.quantity == units::Quantity::angle;
    EXPECT_TRUE(!key.source.empty() || neutral || !is_a_number(key))
        << key.name << " has a standard value without source";
  }
  for (const Reported& row : kind.reported) {
    EXPECT_FALSE(row.meaning.empty()) << row.name;
    EXPECT_TRUE(names.insert(row.name).second || row.quantity == units::Quantity::angle)
        << row.name << " is a key and a result";
  }
}

// Rules and ranges speak of keys, groups of keys or results that exist.
TEST_P(EveryLaw, NamesWhatItHas) {
  const Kind& kind = *GetParam();
  const auto known = [&kind](std::string_view name) {
    if (find_key(kind, name) != npos) return true;
    for (const Key& key : kind.keys) {
      if (key.name.starts_with(name) && key.name.substr(name.size()).starts_with(".")) return true;
    }
    for (const Reported& row : kind.reported) {
      if (row.name == name) return true;
    }
    return false;
  };
  for (const Rule& rule : kind.rules) {
    for (const std::string_view name : rule.keys) EXPECT_TRUE(known(name)) << name;
  }
  for (const Range& range : kind.ranges) EXPECT_TRUE(known(range.subject)) << range.subject;
}

INSTANTIATE_TEST_SUITE_P(Kinds, EveryLaw, ::testing::ValuesIn(kinds_with_a_law()),
                         [](const auto& kind) { return std::string(kind.param->name); });

TEST(Kinds, StandInAlphabeticalOrderAndAreFoundByName) {
  std::string_view before;
  for (const Kind* kind : kinds()) {
    EXPECT_LT(before, kind->name);
    EXPECT_EQ(find_kind(kind->name), kind);
    before = kind->name;
  }
  EXPECT_EQ(find_kind("radiatorr"), nullptr);
  EXPECT_EQ(find_key(*find_kind("core"), "no such key"), npos);
}

// A kind without a law is divided into kinds that have one.
TEST(Kinds, OnlyThePathHasNoLaw) {
  for (const Kind* kind : kinds()) EXPECT_EQ(kind->law == nullptr, kind->name == "duct_path") << kind->name;
}

TEST(SigmaOf, AddsRelativeAndAbsoluteParts) {
  const Kind& inlet = *find_kind("inlet");
  LawCase law(inlet);
  law.set("recovery", 0.72).set("cp", 0.9);
  const Values values{law.numbers, law.given};
  // Below a recovery of 0.9 the opening stands in a boundary layer: 15 %.
  EXPECT_DOUBLE_EQ(sigma_of(inlet, find_key(inlet, "recovery"), values), 0.15 * 0.72);
  EXPECT_DOUBLE_EQ(sigma_of(inlet, find_key(inlet, "cp"), values), 0.05);
}

}  // namespace
}  // namespace corefeed::losses
