// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "tests/losses/demand.hpp"
#include "tests/support/any_law.hpp"

/// What holds for every law with any numbers in any surroundings; every_law_test.cpp looks at typical ones
/// more closely.
namespace corefeed::losses {
namespace {

using testing::any_between;
using testing::demand_at;
using testing::flow_at;
using testing::LawCase;
using testing::slope_at;

/// An element of any kind that `wanted` takes, anywhere on a car.
template <class Wanted>
LawCase any_case(Wanted wanted) {
  std::vector<const Kind*> list;
  for (const Kind* kind : kinds()) {
    if (kind->law != nullptr && wanted(*kind)) list.push_back(kind);
  }
  LawCase law = testing::any_law(*list[*rc::gen::inRange<std::size_t>(0, list.size())]);
  law.outside = testing::moving_air(any_between(40.0, 0.0, 90.0), any_between(0.0, -0.3, 0.3));
  law.state = {0.0,
               any_between(600.0, -2500.0, 3000.0),
               any_between(600.0, -2500.0, 3000.0),
               any_between(300.0, 260.0, 420.0),
               any_between(300.0, 260.0, 420.0),
               any_between(300.0, 260.0, 420.0)};
  law.from_plenum = *rc::gen::arbitrary<bool>();
  law.to_plenum = *rc::gen::arbitrary<bool>();
  law.fan_state = static_cast<FanState>(*rc::gen::inRange(0, 4));
  law.leg = *rc::gen::arbitrary<bool>() ? Leg::branch : Leg::straight;
  law.sibling_flow = law.outside.density * any_between(0.0, -20.0, 20.0) * testing::section_of(law);
  return law;
}

LawCase any_case() {
  return any_case([](const Kind&) { return true; });
}

/// 1e-9 of the dynamic head at 30 m/s, Pa, and what rounding leaves of the numbers at hand.
double allowed(const LawCase& law) {
  const double largest = std::abs(demand_at(law, 0.0)) + 1e4;
  return 1e-9 * 0.5 * 1.2 * 30.0 * 30.0 + 1e-15 * largest;
}

RC_GTEST_PROP(LawProperties, ContinuousThroughZeroFlow, ()) {
  const LawCase law = any_case();
  for (const double velocity : {-1e-6, -1e-9, 1e-9, 1e-6}) {
    const double rest =
        demand_at(law, velocity) - demand_at(law, 0.0) - slope_at(law, velocity) * flow_at(law, velocity);
    RC_LOG() << velocity << " m/s: " << rest << "\n";
    RC_ASSERT(std::abs(rest) <= allowed(law));
  }
}

RC_GTEST_PROP(LawProperties, RisesOrIsNamedAsNotRising, ()) {
  LawCase law = any_case();
  if (law.kind().name == "fan") {
    // Between cold and warm air the density at its blades, and so its pressure, changes where the flow turns
    // round.
    law.state.temperature_to = law.state.temperature_from;
    law.state.pressure_to = law.state.pressure_from;
  }
  if (law.kind().heated) {
    // Air that a core cools, or that arrives at a higher pressure than it left, gains a trace of pressure,
    // which only a core of next to no loss does not take back.
    law.state.temperature_to = law.state.temperature_out = law.state.temperature_from;
    law.state.pressure_to = law.state.pressure_from;
  }
  const bool turned_off = law.kind().name == "fan" && law.fan_state != FanState::on;
  RC_PRE(testing::is_monotone(law) || turned_off);
  // Laws change their form at slow flow, so that this is as likely as fast flow.
  const double magnitude = std::pow(10.0, any_between(0.0, -4.0, 1.8));
  const double low = *rc::gen::arbitrary<bool>() ? magnitude : -magnitude;
  const double step = magnitude * std::pow(10.0, any_between(0.0, -4.0, 1.0));
  RC_LOG() << low << " m/s and " << step << " more\n";
  RC_ASSERT(demand_at(law, low + step) >= demand_at(law, low));
}

// Also where nine tenths of the smaller loss are given back, as a vent's ram does.
RC_GTEST_PROP(LawProperties, ALossOfItsOwnForEachDirectionRises, ()) {
  const double onward = std::pow(10.0, any_between(0.0, -6.0, 6.0));
  const double back = std::pow(10.0, any_between(0.0, -6.0, 6.0));
  const auto left = [onward, back](double velocity) {
    Local<double> local;
    local.velocity = velocity;
    return (either_way<double>(local, onward, back) - 0.9 * std::min(onward, back)) * velocity *
           std::abs(velocity);
  };
  const double low = any_between(0.0, -3.0, 3.0);
  const double step = std::pow(10.0, any_between(-2.0, -3.0, 0.5));
  RC_LOG() << onward << " onward, " << back << " back, " << low << " m/s and " << step << " more\n";
  RC_ASSERT(left(low + step) >= left(low));
}

RC_GTEST_PROP(LawProperties, WhatDrivesNothingTakesFromTheFlowInEitherDirection, ()) {
  // Machines drive, a supply and a closed valve take any pressure; at openings and in junctions one stream
  // may help another, and air that a core cools gains pressure.
  LawCase law = any_case([](const Kind& kind) {
    constexpr std::string_view others[] = {"pump", "oil_pump", "supply", "relief_valve"};
    return kind.ends == Ends::both && !kind.heated &&
           std::find(std::begin(others), std::end(others), kind.name) == std::end(others);
  });
  if (law.fan_state == FanState::on) law.fan_state = FanState::freewheeling;
  const double velocity = std::pow(10.0, any_between(0.0, -6.0, 1.8));
  for (const double way : {velocity, -velocity}) {
    LawCase moved = law;
    moved.state.mass_flow = flow_at(law, way);
    const double loss = moved.terms().pressure_loss();
    RC_LOG() << way << " m/s: " << loss << " Pa\n";
    RC_ASSERT(loss * way >= 0.0);
  }
}

RC_GTEST_PROP(LawProperties, SlopesAreFinite, ()) {
  LawCase law = any_case();
  law.state.mass_flow = flow_at(law, any_between(0.0, -400.0, 400.0));
  for (std::size_t seed = 0; seed < testing::state_numbers; ++seed) {
    const Terms<Dual> terms = law.derivative(seed);
    RC_ASSERT(std::isfinite(terms.pressure_loss().value()));
    RC_ASSERT(std::isfinite(terms.pressure_loss().derivatives()[0]));
    RC_ASSERT(std::isfinite(terms.boundary.derivatives()[0]));
  }
}

RC_GTEST_PROP(LawProperties, BandsAreNotNegative, ()) {
  const LawCase law = any_case();
  for (std::size_t i = 0; i < law.numbers.size(); ++i) {
    const double sigma = sigma_of(law.kind(), i, law.values());
    RC_LOG() << law.kind().keys[i].name << ": " << sigma << "\n";
    RC_ASSERT(std::isfinite(sigma));
    RC_ASSERT(sigma >= 0.0);
  }
}

}  // namespace
}  // namespace corefeed::losses
