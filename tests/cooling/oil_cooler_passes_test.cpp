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

/// Two invented oil coolers with one, two and four passes on one pair of lines: whether more passes cool
/// better depends on pump and lines. The numbers were computed apart from this program, from the same laws.
namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;
using corefeed::testing::pi;

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

/// `head` 0: the flow is given.
struct Row {
  bool turbulated;
  int passes;
  double head;
  double flow;
  double cooler_loss;
  double heat;
  double conductance;
};

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

constexpr Row engine_oil_face[] = {{false, 1, 20000, 0.2285769, 3188.051, 5834.133, 96.93451},
                                   {false, 2, 20000, 0.20458, 6168.806, 6553.932, 115.2648},
                                   {false, 4, 20000, 0.1306756, 13068.23, 6509.81, 124.1911},
                                   {false, 1, 40000, 0.305382, 5065.405, 6343.312, 105.5288},
                                   {false, 2, 40000, 0.2884343, 9353.085, 7224.829, 126.9203},
                                   {false, 4, 40000, 0.2338377, 22321.77, 7772.543, 145.2342},
                                   {false, 1, 80000, 0.4417196, 9452.073, 7005.019, 117.3965},
                                   {false, 2, 80000, 0.4210795, 15452.25, 7962.956, 140.7987},
                                   {false, 4, 80000, 0.3520553, 33736.78, 8636.204, 161.567},
                                   {false, 1, 150000, 0.6199502, 17231.92, 7620.974, 129.1972},
                                   {false, 2, 150000, 0.5985086, 25697.31, 8641.709, 154.6305},
                                   {false, 4, 150000, 0.5257808, 52421.46, 9451.441, 178.6773},
                                   {false, 1, 0, 0.45, 9762.106, 7038.609, 118.0208},
                                   {false, 2, 0, 0.45, 16958.19, 8091.912, 143.3445},
                                   {false, 4, 0, 0.45, 43978.5, 9139.377, 171.9175},
                                   {true, 1, 20000, 0.2068903, 5915.546, 11232.19, 285.2375},
                                   {true, 2, 20000, 0.1293918, 13168.99, 10264.15, 298.2717},
                                   {true, 4, 20000, 0.041126, 18542.6, 5834.991, 262.8708},
                                   {true, 1, 40000, 0.2886649, 9293.51, 12217.07, 308.9468},
                                   {true, 2, 40000, 0.2226988, 24030.22, 12116.67, 336.6677},
                                   {true, 4, 40000, 0.0795677, 36578.89, 8720.36, 309.4753},
                                   {true, 1, 80000, 0.4194444, 15916.87, 13159.99, 334.7916},
                                   {true, 2, 80000, 0.3323756, 38525.42, 13217.64, 363.4375},
                                   {true, 4, 80000, 0.1529893, 71213.33, 11361.12, 355.1756},
                                   {true, 1, 150000, 0.5948861, 27101.2, 13893.29, 357.9301},
                                   {true, 2, 150000, 0.49416, 63076.98, 14093.2, 388.2425},
                                   {true, 4, 150000, 0.2608619, 126440.1, 13059.8, 389.54},
                                   {true, 1, 0, 0.45, 17677.14, 13318.67, 339.5359},
                                   {true, 2, 0, 0.45, 56017.64, 13904.46, 382.551},
                                   {true, 4, 0, 0.45, 235937.3, 14340.37, 421.0013}};

constexpr Row gear_oil_face[] = {{false, 1, 15000, 0.1501962, 3509.032, 2375.32, 53.24253},
                                 {false, 2, 15000, 0.1033422, 8031.416, 2466.472, 58.52512},
                                 {false, 1, 30000, 0.2472464, 6436.895, 2708.506, 61.30545},
                                 {false, 2, 30000, 0.1879224, 14249.69, 2901.854, 68.91503},
                                 {false, 1, 60000, 0.3892665, 11888.57, 3015.413, 69.43744},
                                 {false, 2, 60000, 0.3208767, 24843.81, 3285.645, 79.30927},
                                 {false, 1, 120000, 0.525802, 18466.44, 3218.422, 75.22538},
                                 {false, 2, 120000, 0.4797685, 39056.31, 3565.975, 87.74746},
                                 {false, 1, 0, 0.2, 4932.303, 2565.969, 57.76302},
                                 {false, 2, 0, 0.2, 15167.24, 2946.972, 70.07335},
                                 {true, 1, 15000, 0.1107784, 7370.44, 4180.394, 140.0473},
                                 {true, 2, 15000, 0.04443605, 12510.53, 3204.414, 130.8902},
                                 {true, 1, 30000, 0.1904073, 13949.79, 4741.646, 158.9799},
                                 {true, 2, 30000, 0.08447579, 24612.28, 4108.205, 153.7232},
                                 {true, 1, 60000, 0.3140538, 26006.46, 5148.493, 175.6714},
                                 {true, 2, 60000, 0.1549202, 48005.88, 4792.121, 174.4731},
                                 {true, 1, 120000, 0.4688996, 43882.37, 5404.992, 188.2222},
                                 {true, 2, 120000, 0.2732329, 92585.19, 5266.522, 192.327},
                                 {true, 1, 0, 0.2, 14808.31, 4786.252, 160.6615},
                                 {true, 2, 0, 0.2, 64279.98, 5024.415, 182.7259}};

constexpr Row gear_oil_depth[] = {{false, 2, 15000, 0.1031009, 8052.505, 2486.465, 58.3901},
                                  {false, 2, 30000, 0.1877106, 14275.14, 2921.058, 68.81915},
                                  {false, 2, 60000, 0.3207078, 24872.81, 3302.881, 79.2429},
                                  {false, 2, 120000, 0.4796878, 39092.45, 3581.336, 87.7011},
                                  {false, 2, 0, 0.2, 15208.96, 2966.745, 70.00068},
                                  {true, 2, 15000, 0.04354261, 12568.11, 3321.373, 129.6411},
                                  {true, 2, 30000, 0.08350344, 24690.02, 4267.551, 152.9713},
                                  {true, 2, 60000, 0.1541282, 48090.84, 4941.281, 174.1334},
                                  {true, 2, 120000, 0.272666, 92672.01, 5382.247, 192.1889},
                                  {true, 2, 0, 0.2, 64621.97, 5162.517, 182.6062}};

TEST(OilCoolerPasses, EngineOilInTheFace) {
  expect_rows(engine_oil_cooler(), Passing::face, engine_oil_face);
}

TEST(OilCoolerPasses, GearOilInTheFace) { expect_rows(gear_oil_cooler(), Passing::face, gear_oil_face); }

TEST(OilCoolerPasses, GearOilInDepth) { expect_rows(gear_oil_cooler(), Passing::depth, gear_oil_depth); }

/// A pump of fixed flow with a bypass that opens at 100 kPa over cooler and lines.
struct BypassRow {
  bool turbulated;
  int passes;
  double bypassed;
  double heat;
  double mixed_celsius;
};

constexpr BypassRow engine_oil_bypass[] = {
    {false, 1, 0, 7038.609, 103.0341},          {false, 2, 0, 8091.912, 101.9844},
    {false, 4, 0.04297206, 8935.183, 101.1353}, {true, 1, 0, 13318.67, 96.74654},
    {true, 2, 0.06687387, 13554.68, 96.48069},  {true, 4, 0.263027, 12053.46, 97.83534}};

constexpr BypassRow gear_oil_face_bypass[] = {{false, 1, 0, 2565.969, 84.08618},
                                              {false, 2, 0, 2946.972, 83.20268},
                                              {true, 1, 0, 4786.252, 78.91758},
                                              {true, 2, 0, 5024.415, 78.36026}};

constexpr BypassRow gear_oil_depth_bypass[] = {{false, 2, 0, 2966.745, 83.15679},
                                               {true, 2, 0, 5162.517, 78.03683}};

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
  expect_bypass(engine_oil_cooler(), Passing::face, 0.45, engine_oil_bypass);
  expect_bypass(gear_oil_cooler(), Passing::face, 0.20, gear_oil_face_bypass);
  expect_bypass(gear_oil_cooler(), Passing::depth, 0.20, gear_oil_depth_bypass);
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
