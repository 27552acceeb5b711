// SPDX-License-Identifier: Apache-2.0
#include <vector>

#include "corefeed/losses/core.hpp"
#include "corefeed/losses/friction.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::flow_of;
using testing::LawCase;

Input<double> input_of(const LawCase& law) {
  Input<double> in;
  in.mass_flow = law.state.mass_flow;
  in.temperature_from = law.state.temperature_from;
  in.temperature_to = law.state.temperature_to;
  in.temperature_out = law.state.temperature_out;
  in.value = law.numbers.data();
  in.given = law.given;
  in.outside = &law.outside;
  return in;
}

/// A diffuser of area ratio AR with phi_0 = 0.95 and a cold core of K_c behind it.
struct Pair {
  LawCase diffuser{"diffuser"};
  LawCase core{"core"};

  Pair(double area_ratio, double core_loss) {
    const double face = 0.2;
    diffuser.set("inlet_area", face / area_ratio).set("outlet_area", face).set("expansion_loss", 0.95);
    core.set("face_area", face).set("air_loss.linear", 0.0).set("air_loss.density", 1.2);
    core.set("air_loss.quadratic", 0.5 * 1.2 * core_loss);
    diffuser.state.mass_flow = core.state.mass_flow = flow_of(core, face, 5.0);
  }
  double share() const {
    Input<double> in = input_of(diffuser);
    const Input<double> behind = input_of(core);
    in.feeds = &behind;
    Terms<double> out;
    diffuser.kind().law->value(in, out);
    return out.reported[1];
  }
  double unevenness() const {
    Input<double> in = input_of(core);
    const Input<double> before = input_of(diffuser);
    in.fed_by = &before;
    Terms<double> out;
    core.kind().law->value(in, out);
    return out.reported[2];
  }
};

// Wall friction of a cone: f dx/D on the head there, which falls with the fourth power of D; summed here in
// steps, on the throat's head.
TEST(Diffuser, WallsRubAllAlongTheCone) {
  LawCase law = published::incompressible("diffuser", 1.2);
  law.set("inlet_area", 0.01).set("outlet_area", 0.03).set("length", 0.5).set("roughness", 0.0);
  const double found = testing::part_coefficient(law, "friction", 0.01, 40.0);
  law.state.mass_flow = testing::flow_of(law, 0.01, 40.0);
  const double throat = std::sqrt(4.0 * 0.01 / testing::pi);
  const double reynolds = 1.2 * 40.0 * throat / law.outside.air.viscosity(300.0);
  const double factor = darcy_friction<double>(reynolds, 0.0);
  double sum = 0.0;
  constexpr int steps = 2000;
  for (int i = 0; i < steps; ++i) {
    const double wider = 1.0 + (std::sqrt(3.0) - 1.0) * (i + 0.5) / steps;
    sum += factor * 0.5 / steps / throat / std::pow(wider, 5.0);
  }
  expect_relative(found, sum, 1e-6);
}

// Closure of ours after Schubauer & Spangenberg 1949, phi_min + (phi_0 - phi_min)/(1 + K_c/2), and the face's
// unevenness after Taylor & Batchelor 1949: reckoned apart from this library. The floor that keeps K_c finite
// at rest leaves 1e-6.
TEST(Diffuser, LosesLessBeforeACore) {
  struct Row {
    double core_loss, share, uneven_at_2, uneven_at_3_5;
  };
  for (const Row& row : {Row{2, 0.55, 0.47140452079103173, 0.6356417261637282},
                         Row{5, 0.37857142857142856, 0.31180478223116176, 0.3978300313577762},
                         Row{10, 0.2833333333333333, 0.22268088570756153, 0.27620164556827276},
                         Row{20, 0.22272727272727272, 0.15793451382644752, 0.1925562105483782}}) {
    expect_relative(Pair(2.0, row.core_loss).share(), row.share, 1e-6, "phi");
    expect_relative(Pair(2.0, row.core_loss).unevenness(), row.uneven_at_2, 1e-6, "AR 2");
    expect_relative(Pair(3.5, row.core_loss).unevenness(), row.uneven_at_3_5, 1e-6, "AR 3.5");
  }
}

/// Input with dual numbers that live in `numbers`; the derivative is by the number in place `seed`, or by the
/// mass flow if that is npos.
Input<Dual> dual_input(const LawCase& law, std::vector<Dual>& numbers, std::size_t seed) {
  numbers.clear();
  for (const double number : law.numbers) numbers.push_back(Dual(number));
  Input<Dual> in;
  in.mass_flow = Dual(law.state.mass_flow);
  in.pressure_from = in.pressure_to = Dual(0.0);
  in.temperature_from = Dual(law.state.temperature_from);
  in.temperature_to = Dual(law.state.temperature_to);
  in.temperature_out = Dual(law.state.temperature_out);
  Dual& seeded = seed == npos ? in.mass_flow : numbers[seed];
  seeded.derivatives().setZero();
  seeded.derivatives()[0] = 1.0;
  in.value = numbers.data();
  in.given = law.given;
  in.outside = &law.outside;
  return in;
}

// The diffuser's dependence on its core's numbers and flow, and the core's on its diffuser's, are exact.
TEST(Diffuser, DerivativesThroughTheNeighborAreExact) {
  Pair pair(2.5, 7.0);
  pair.core.set("air_loss.linear", 25.0);
  const auto check = [&](LawCase& own, LawCase& other, bool diffuser_first, std::size_t seed,
                         std::size_t result) {
    double& moved = seed == npos ? other.state.mass_flow : other.numbers[seed];
    const double at = moved;
    const double step = 1e-5 * at;
    const auto value = [&] { return diffuser_first ? pair.share() : pair.unevenness(); };
    moved = at + step;
    const double above = value();
    moved = at - step;
    const double below = value();
    moved = at;
    std::vector<Dual> own_numbers;
    std::vector<Dual> other_numbers;
    Input<Dual> in = dual_input(own, own_numbers, npos);
    in.mass_flow.derivatives().setZero();
    const Input<Dual> neighbor = dual_input(other, other_numbers, seed);
    (diffuser_first ? in.feeds : in.fed_by) = &neighbor;
    Terms<Dual> out;
    own.kind().law->dual(in, out);
    const double slope = (above - below) / (2.0 * step);
    EXPECT_NE(slope, 0.0);
    // Third derivative times step squared stays below 1e-9; rounding over the step is 1e-11.
    expect_relative(out.reported[result].derivatives()[0], slope, 1e-6, "derivative");
  };
  for (const char* key : {"air_loss.linear", "air_loss.quadratic", "face_area"}) {
    check(pair.diffuser, pair.core, true, find_key(pair.core.kind(), key), 1);
  }
  check(pair.diffuser, pair.core, true, npos, 1);
  for (const char* key : {"inlet_area", "outlet_area"}) {
    check(pair.core, pair.diffuser, false, find_key(pair.diffuser.kind(), key), 2);
  }
}

// A core of very high resistance spreads the flow as far as can be: phi_min; none leaves the diffuser alone.
TEST(Diffuser, FallsToTheLowestShare) {
  EXPECT_NEAR(Pair(2.0, 1e7).share(), 0.15, 1e-6);
  EXPECT_NEAR(Pair(2.0, 1e-6).share(), 0.95, 1e-5);
}

// A diffuser that already loses less than phi_min is not made worse by its core.
TEST(Diffuser, IsNeverMadeWorseByItsCore) {
  Pair pair(2.0, 20.0);
  pair.diffuser.set("expansion_loss", 0.08);
  EXPECT_NEAR(pair.share(), 0.08, 1e-12);
}

// Planar walls beyond the stall line (28 deg (N/W1)^-0.45) lose phi_st, below it what Idelchik gives.
TEST(Diffuser, StallsBetweenPlanarWalls) {
  LawCase law("diffuser");
  law.set("inlet_area", 0.02).set("outlet_area", 0.025).set("shape", 1.0);
  law.set("angle", 5 * testing::degree);
  const double attached = 3.2 * std::pow(std::tan(2.5 * testing::degree), 1.25);
  EXPECT_NEAR(law.reported("expansion_share"), attached, 5e-3);
  law.set("outlet_area", 0.05).set("angle", 50 * testing::degree);
  EXPECT_NEAR(law.reported("expansion_share"), 1.0, 1e-3);
}

// Splitter vanes share the angle: n + 1 passages, 0.03 for each leading edge (Idelchik ch. 5).
TEST(Diffuser, VanesShareTheAngle) {
  LawCase law("diffuser");
  law.set("inlet_area", 0.02).set("outlet_area", 0.05).set("angle", 30 * testing::degree).set("vanes", 2.0);
  const double passage = 3.2 * std::pow(std::tan(5 * testing::degree), 1.25);
  expect_relative(law.reported("expansion_share"), passage + 0.06, 1e-10, "phi");
}

LawCase cone(double angle) {
  LawCase law("diffuser");
  return law.set("inlet_area", 0.02).set("outlet_area", 0.05).set("angle", angle * testing::degree);
}

// phi_0 of a 12 degree cone by hand, 3.2 tan(6 deg)^1.25 = 0.191503; the other pair of walls adds a quarter
// of the smaller loss to the larger one.
TEST(Diffuser, TwoPairsOfWallsLoseByTheWorse) {
  LawCase law = cone(12.0);
  const double first = 0.1915028533012558;
  const double second = 3.2 * std::pow(std::tan(10 * testing::degree), 1.25);
  expect_relative(law.reported("expansion_share"), first, 1e-10);
  law.set("second_angle", 20 * testing::degree);
  expect_relative(law.reported("expansion_share"), second + 0.25 * first, 1e-10);
  // The two pairs are alike: which is named first does not matter.
  LawCase turned = cone(20.0);
  turned.set("second_angle", 12 * testing::degree);
  expect_relative(turned.reported("expansion_share"), law.reported("expansion_share"), 1e-10);
}

// 1 + 8 B: a blockage of 0.03 behind ten widths of duct costs 24 % more.
TEST(Diffuser, AThickLayerAtTheThroatLosesMore) {
  LawCase law = cone(12.0);
  const double thin = law.reported("expansion_share");
  law.set("blockage", 0.03);
  expect_relative(law.reported("expansion_share"), 1.24 * thin, 1e-12);
}

// Half as much again at a bend's end, fading over 4 diameters; no effect on a share that is given.
TEST(Diffuser, LosesMoreCloseBehindABend) {
  LawCase law = cone(12.0);
  const double alone = law.reported("expansion_share");
  const double diameter = std::sqrt(4.0 * 0.02 / testing::pi);
  law.set("upstream.fitting", 0.0);
  expect_relative(law.set("upstream.distance", 0.0).reported("expansion_share"), 1.5 * alone, 1e-12);
  expect_relative(law.set("upstream.distance", 4.0 * diameter).reported("expansion_share"),
                  (1.0 + 0.5 * std::exp(-1.0)) * alone, 1e-12);
  expect_relative(law.set("upstream.distance", 100.0 * diameter).reported("expansion_share"), alone, 1e-9);
  law.set("upstream.distance", 0.0).set("expansion_loss", 0.3);
  expect_relative(law.reported("expansion_share"), 0.3, 1e-12);
}

// Behind a bend planar walls let go of the stream at 0.7 of the angle: what is half stalled at the line
// 28 deg (N/W1)^-0.45 alone is stalled throughout there.
TEST(Diffuser, StallsEarlierBehindABend) {
  LawCase law("diffuser");
  // N/W1 = 0.5 (AR - 1)/theta = 4 at AR 2.396 and 20 degrees: a line of 15.0 degrees.
  const double ratio = 1.0 + 4.0 * 2.0 * 10.0 * testing::degree;
  law.set("inlet_area", 0.02).set("outlet_area", 0.02 * ratio).set("shape", 1.0);
  const auto stalled = [&law](double degrees, double distance) {
    law.set("angle", degrees * testing::degree);
    law.set("upstream.fitting", 0.0).set("upstream.distance", distance);
    return diffuser::stalled_share<double>(input_of(law), degrees * testing::degree);
  };
  // Reneau, Johnston & Kline's line at this angle: 28 * (0.5 (AR - 1)/theta)^-0.45 degrees.
  double line = 15.0;
  for (int i = 0; i < 50; ++i)
    line = 28.0 * std::pow(0.5 * (ratio - 1.0) / (0.5 * line * testing::degree), -0.45);
  EXPECT_NEAR(stalled(line, 1e3), 0.5, 1e-6);
  EXPECT_NEAR(stalled(line, 0.0), 1.0 / (1.0 + std::exp(-0.3 * line / 2.0)), 1e-6);
}

TEST(Diffuser, WallNamesARoughness) {
  LawCase named = cone(12.0);
  LawCase given = cone(12.0);
  named.set("length", 0.4).set("wall", 6.0);
  given.set("length", 0.4).set("roughness", 2.6e-4);
  expect_relative(testing::part_coefficient(named, "friction", 0.02),
                  testing::part_coefficient(given, "friction", 0.02), 1e-12);
}

}  // namespace
}  // namespace corefeed::losses
