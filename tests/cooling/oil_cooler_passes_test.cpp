// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "corefeed/cooling/fins.hpp"
#include "corefeed/cooling/passes.hpp"
#include "corefeed/cooling/tube_side.hpp"
#include "corefeed/fluids/liquid.hpp"
#include "tests/support/check.hpp"
#include "tests/support/oil_cooler_rows.hpp"

/// Two invented oil coolers with one, two and four passes on one pair of lines: whether more passes cool
/// better depends on pump and lines. The numbers were computed apart from this program, from the same laws.
namespace corefeed::cooling {
namespace {

using corefeed::testing::BypassRow;
using corefeed::testing::expect_relative;
using corefeed::testing::pi;
using corefeed::testing::Row;

constexpr double ice_point = 273.15;
constexpr double air_in = 31.2 + ice_point;
constexpr double bore = 0.0142;

enum class Passing { face, depth };

struct Cooler {
  fluids::Liquid oil;
  double oil_in;
  double tubes;
  double air_flow;
  double air_conductance;
};

Cooler engine_oil_cooler() {
  return {fluids::oil(85e-6, 313.15, 14e-6, 373.15, 870).value(), 110 + ice_point, 20, 0.24, 560};
}

Cooler gear_oil_cooler() {
  return {fluids::oil(105e-6, 313.15, 15.5e-6, 373.15, 870).value(), 90 + ice_point, 10, 0.12, 280};
}

/// State of the cooler at one oil flow.
struct State {
  double flow = 0;
  double cooler_loss = 0;
  double line_loss = 0;
  double heat = 0;
  double oil_out = 0;
  double conductance = 0;
};

LiquidState<double> oil_at(const fluids::Liquid& oil, double mean, double wall) {
  return {oil.density(mean), oil.viscosity(mean), oil.viscosity(wall), oil.heat_capacity(mean),
          oil.conductivity(mean)};
}

TubePass<double> one_pass(const Cooler& cooler, bool turbulated, int passes, double flow,
                          const LiquidState<double>& oil) {
  const double tubes = cooler.tubes / passes;
  if (!turbulated) {
    return plain_pass<double>({wide_tube(0.042, 0.0025), 0.300, tubes}, flow, oil);
  }
  TurbulatedBank bank;
  bank.strips = {.spacing = 2.2e-3, .height = 2.3e-3, .strip_length = 3.2e-3, .thickness = 0.2e-3};
  bank.width = 0.042;
  bank.length = 0.300;
  bank.tubes = tubes;
  return turbulated_pass<double>(bank, flow, oil);
}

double heat_of(const Cooler& cooler, Passing passing, int passes, double conductance, double oil_capacity) {
  const double air_capacity = cooler.air_flow * 1010;
  if (passing == Passing::face) {
    const std::vector<double> shares(static_cast<std::size_t>(passes), 1.0 / passes);
    const auto zones = face_zones<double>(air_capacity, conductance, shares, shares);
    return face_passes<double>(Arrangement::crossflow_both_unmixed, zones, oil_capacity, cooler.oil_in,
                               air_in)
        .heat;
  }
  const double smallest = std::min(air_capacity, oil_capacity);
  const double ratio = smallest / std::max(air_capacity, oil_capacity);
  const Layout layout{Arrangement::crossflow_both_unmixed, passes, PassOrder::counter};
  return depth_effectiveness<double>(layout, conductance / smallest, ratio, air_capacity <= oil_capacity) *
         smallest * (cooler.oil_in - air_in);
}

double line_loss(const Cooler& cooler, double flow) {
  const double density = cooler.oil.density(cooler.oil_in);
  const TubeSection line = round_tube(bore);
  const double reynolds = reynolds_number<double>(line, flow, cooler.oil.viscosity(cooler.oil_in));
  const double flux = flow / line.flow_area;
  return (losses::darcy_friction<double>(reynolds, 0.0) * 2.4 / bore + 8) * flux * flux / (2 * density);
}

/// Oil and wall temperature follow from the heat, the heat from them: repeated until nothing moves.
State at_flow(const Cooler& cooler, Passing passing, bool turbulated, int passes, double flow) {
  State state;
  state.flow = flow;
  double oil_out = cooler.oil_in - 5;
  double wall = oil_out - 5;
  for (int step = 0; step < 200; ++step) {
    const double mean = 0.5 * (cooler.oil_in + oil_out);
    const LiquidState<double> oil = oil_at(cooler.oil, mean, wall);
    const TubePass<double> pass = one_pass(cooler, turbulated, passes, flow, oil);
    const double oil_side = passes * pass.conductance;
    state.conductance = 1 / (1 / cooler.air_conductance + 1 / oil_side);
    state.heat = heat_of(cooler, passing, passes, state.conductance, flow * oil.heat_capacity);
    const Passages passages{pi / 4 * bore * bore, 1.5, 6e-4, 1.5};
    state.cooler_loss = passes * pass.loss + passages_loss<double>(passages, passes, flow, oil.density);
    // Half the step: at small flows the wall reacts to itself by more than its own change.
    oil_out = 0.5 * oil_out + 0.5 * (cooler.oil_in - state.heat / (flow * oil.heat_capacity));
    wall = 0.5 * wall + 0.5 * (mean - state.heat / oil_side);
  }
  state.oil_out = oil_out;
  state.line_loss = line_loss(cooler, flow);
  return state;
}

State at_head(const Cooler& cooler, Passing passing, bool turbulated, int passes, double head) {
  const auto surplus = [&](double flow) {
    const State state = at_flow(cooler, passing, turbulated, passes, flow);
    return state.cooler_loss + state.line_loss - head;
  };
  std::uintmax_t steps = 100;
  const auto bracket = boost::math::tools::toms748_solve(
      surplus, 0.01, 2.0, boost::math::tools::eps_tolerance<double>(30), steps);
  return at_flow(cooler, passing, turbulated, passes, 0.5 * (bracket.first + bracket.second));
}

void expect_rows(const Cooler& cooler, Passing passing, std::span<const Row> rows) {
  // The reference numbers carry seven digits and were solved to about six.
  constexpr double tolerance = 1e-5;
  for (const Row& row : rows) {
    const State state = row.head > 0 ? at_head(cooler, passing, row.turbulated, row.passes, row.head)
                                     : at_flow(cooler, passing, row.turbulated, row.passes, row.flow);
    const std::string what = std::string(row.turbulated ? "turbulated " : "plain ") +
                             std::to_string(row.passes) + " passes, head " + std::to_string(row.head);
    expect_relative(state.flow, row.flow, tolerance, what + ": flow");
    expect_relative(state.cooler_loss, row.cooler_loss, tolerance, what + ": loss");
    expect_relative(state.heat, row.heat, tolerance, what + ": heat");
    expect_relative(state.conductance, row.conductance, tolerance, what + ": conductance");
  }
}

TEST(OilCoolerPasses, EngineOilInTheFace) {
  expect_rows(engine_oil_cooler(), Passing::face, corefeed::testing::engine_oil_face);
}

TEST(OilCoolerPasses, GearOilInTheFace) {
  expect_rows(gear_oil_cooler(), Passing::face, corefeed::testing::gear_oil_face);
}

TEST(OilCoolerPasses, GearOilInDepth) {
  expect_rows(gear_oil_cooler(), Passing::depth, corefeed::testing::gear_oil_depth);
}

void expect_bypass(const Cooler& cooler, Passing passing, double pumped, std::span<const BypassRow> rows) {
  constexpr double opening = 100e3;
  for (const BypassRow& row : rows) {
    State state = at_flow(cooler, passing, row.turbulated, row.passes, pumped);
    if (state.cooler_loss + state.line_loss > opening) {
      state = at_head(cooler, passing, row.turbulated, row.passes, opening);
    }
    const double bypassed = pumped - state.flow;
    const double mixed = (state.flow * state.oil_out + bypassed * cooler.oil_in) / pumped;
    const std::string what =
        std::string(row.turbulated ? "turbulated " : "plain ") + std::to_string(row.passes) + " passes";
    EXPECT_NEAR(bypassed, row.bypassed, 1e-5 * pumped) << what;
    expect_relative(state.heat, row.heat, 1e-5, what + ": heat");
    EXPECT_NEAR(mixed - ice_point, row.mixed_celsius, 1e-3) << what;
  }
}

TEST(OilCoolerPasses, APumpWithABypassCoolsLeastWithMostPasses) {
  expect_bypass(engine_oil_cooler(), Passing::face, 0.45, corefeed::testing::engine_oil_bypass);
  expect_bypass(gear_oil_cooler(), Passing::face, 0.20, corefeed::testing::gear_oil_face_bypass);
  expect_bypass(gear_oil_cooler(), Passing::depth, 0.20, corefeed::testing::gear_oil_depth_bypass);
}

// What the invented case is for: at a given head two turbulated passes lose heat, at a given flow they gain.
TEST(OilCoolerPasses, TwoPassesLoseAtAGivenHeadAndGainAtAGivenFlow) {
  const Cooler cooler = gear_oil_cooler();
  const auto gain = [](const State& two, const State& one) { return two.heat / one.heat - 1; };
  const double at_given_head =
      gain(at_head(cooler, Passing::face, true, 2, 15e3), at_head(cooler, Passing::face, true, 1, 15e3));
  const double at_given_flow =
      gain(at_flow(cooler, Passing::face, true, 2, 0.2), at_flow(cooler, Passing::face, true, 1, 0.2));
  const double plain =
      gain(at_head(cooler, Passing::face, false, 2, 15e3), at_head(cooler, Passing::face, false, 1, 15e3));
  EXPECT_NEAR(at_given_head, -0.23, 0.01);
  EXPECT_NEAR(at_given_flow, 0.05, 0.01);
  EXPECT_NEAR(plain, 0.04, 0.01);
}

}  // namespace
}  // namespace corefeed::cooling
