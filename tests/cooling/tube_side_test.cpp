// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/tube_side.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tests/support/check.hpp"

namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;
using corefeed::testing::pi;

/// Water near 80 degC, the wall as warm as the water.
LiquidState<double> water() { return {972, 3.54e-4, 3.54e-4, 4197, 0.67}; }

double nusselt(double reynolds, const LiquidState<double>& liquid, double length = 0.6) {
  return tube_nusselt<double>(rectangular_tube(0.020, 0.0016), length, liquid, reynolds);
}

Dual seeded(double value) {
  Dual number(value);
  number.derivatives().setZero();
  number.derivatives()[0] = 1;
  return number;
}

// Shah & London 1978, table of rectangular ducts (from memory): Nu at constant wall temperature; the printed
// fit is within 0.5 % of it.
TEST(TubeSide, RectangularDuctsFollowTheTable) {
  expect_relative(rectangular_nusselt(1.0), 2.976, 5e-3);
  expect_relative(rectangular_nusselt(0.5), 3.391, 5e-3);
  expect_relative(rectangular_nusselt(0.25), 4.439, 5e-3);
  expect_relative(rectangular_nusselt(0.0), 7.541, 1e-12);
}

TEST(TubeSide, SectionsKnowTheirHydraulicDiameter) {
  EXPECT_NEAR(round_tube(0.008).hydraulic_diameter(), 0.008, 1e-15);
  EXPECT_NEAR(wide_tube(0.042, 0.0025).hydraulic_diameter(), 4 * 0.042 * 0.0025 / (2 * 0.0445), 1e-15);
  EXPECT_EQ(wide_tube(0.042, 0.0025).laminar_product, 96);
  EXPECT_NEAR(rectangular_tube(0.01, 0.02).laminar_product, 62.19, 0.01);
  EXPECT_EQ(rectangular_tube(0.02, 0.01).developed_nusselt, rectangular_nusselt(0.5));
}

// Gnielinski worked out apart from this program: Re 10000, Pr 7 gives 79.5.
TEST(TubeSide, TurbulentTubesAreGnielinskis) {
  LiquidState<double> liquid = water();
  liquid.conductivity = liquid.heat_capacity * liquid.viscosity / 7;
  liquid.wall_viscosity = liquid.viscosity;
  EXPECT_NEAR(nusselt(1e4, liquid), 79.5, 0.05);
}

TEST(TubeSide, LaminarTubesTakeTheLargerLaw) {
  const TubeSection section = rectangular_tube(0.020, 0.0016);
  const LiquidState<double> liquid = water();
  EXPECT_EQ(nusselt(100, liquid, 100.0), section.developed_nusselt);
  const double entering =
      sieder_tate_laminar<double>(2000, prandtl_number(liquid), section.hydraulic_diameter() / 0.05);
  ASSERT_GT(entering, section.developed_nusselt);
  EXPECT_DOUBLE_EQ(nusselt(2000, liquid, 0.05), entering);
}

// The middle of the transition is the mean of both ends, and both ends are met without a corner.
TEST(TubeSide, TransitionMixesTheEndsLinearly) {
  const LiquidState<double> liquid = water();
  const double calm = nusselt(2300 - 86, liquid);
  const double stirred = gnielinski<double>(4000, prandtl_number(liquid));
  expect_relative(nusselt(3150, liquid), 0.5 * (nusselt(2200, liquid) + stirred), 0.01);
  expect_relative(nusselt(2300 + 340, liquid), calm + 0.2 * (stirred - calm), 0.01);
  for (double reynolds = 2000; reynolds < 4500; reynolds += 1) {
    const double before = nusselt(reynolds - 1, liquid);
    const double here = nusselt(reynolds, liquid);
    const double after = nusselt(reynolds + 1, liquid);
    EXPECT_GE(after, here) << reynolds;
    // From one step to the next the slope moves by no more than a jump over the rounded corner's 170 steps.
    EXPECT_LT(std::abs(after - 2 * here + before), 2 * (stirred - calm) / 1700 / 170) << reynolds;
  }
}

TEST(TubeSide, DerivativesMatchDifferences) {
  const TubeSection section = rectangular_tube(0.020, 0.0016);
  const LiquidState<Dual> moving{Dual(972), Dual(3.54e-4), Dual(3.8e-4), Dual(4197), Dual(0.67)};
  LiquidState<double> still = water();
  still.wall_viscosity = 3.8e-4;
  for (const double reynolds : {50.0, 1000.0, 2300.0, 2350.0, 3000.0, 4000.0, 20000.0}) {
    const Dual value = tube_nusselt<Dual>(section, 0.05, moving, seeded(reynolds));
    const double step = 1e-3;
    const double difference = (tube_nusselt<double>(section, 0.05, still, reynolds + step) -
                               tube_nusselt<double>(section, 0.05, still, reynolds - step)) /
                              (2 * step);
    EXPECT_NEAR(value.derivatives()[0], difference, 1e-8 + 1e-6 * std::abs(difference)) << reynolds;
  }
}

// Poiseuille between plates: dp = 12 mu v L/h^2, 1 % above in a tube of 60:1; and h A from Nu 7.54.
TEST(TubeSide, ASlowPassIsPoiseuilles) {
  const TubeBank bank{wide_tube(0.060, 0.001), 0.5, 8};
  const LiquidState<double> oil{850, 0.02, 0.02, 2100, 0.13};
  const double flow = 0.004;
  const TubePass<double> pass = plain_pass<double>(bank, flow, oil);
  const double velocity = flow / 8 / (850 * 0.060 * 0.001);
  const double plates = 12 * 0.02 * velocity * 0.5 / (0.001 * 0.001);
  expect_relative(pass.loss, plates, 0.04);
  EXPECT_LT(pass.reynolds, 2);
  const double area = 8 * 2 * 0.061 * 0.5;
  EXPECT_NEAR(pass.conductance, pass.coefficient * area, 1e-9);
}

TEST(TubeSide, AWarmWallLosesLessAndTakesMore) {
  const TubeBank bank{round_tube(0.008), 0.5, 1};
  const LiquidState<double> even{850, 0.02, 0.02, 2100, 0.13};
  LiquidState<double> warm = even;
  warm.wall_viscosity = 0.01;
  const TubePass<double> a = plain_pass<double>(bank, 0.02, even);
  const TubePass<double> b = plain_pass<double>(bank, 0.02, warm);
  expect_relative(b.loss / a.loss, std::pow(0.5, 0.25), 1e-12);
  expect_relative(b.coefficient / a.coefficient, std::pow(2.0, 0.14), 1e-12);
}

TEST(TubeSide, AWarmWallHelpsLessWhereTurbulent) {
  LiquidState<double> warm = water();
  warm.wall_viscosity = 0.5 * warm.viscosity;
  expect_relative(nusselt(2e4, warm) / nusselt(2e4, water()), std::pow(2.0, 0.11), 1e-12);
  expect_relative(nusselt(1e3, warm) / nusselt(1e3, water()), std::pow(2.0, 0.14), 1e-12);
}

TEST(TubeSide, PortsAndReturnsAreChargedOnTheirOwnHeads) {
  const Passages passages{2e-4, 2.0, 6e-4, 1.5};
  const double flow = 0.3;
  const double port = 0.5 / 850 * std::pow(flow / 2e-4, 2);
  const double turn = 0.5 / 850 * std::pow(flow / 6e-4, 2);
  expect_relative(passages_loss<double>(passages, 1, flow, 850), 2 * port, 1e-12);
  expect_relative(passages_loss<double>(passages, 3, flow, 850), 2 * port + 3 * turn, 1e-12);
}

// At equal mass flow Nu ~ Re^n Pr^(1/3): the factor must be that of the law it stands for.
TEST(TubeSide, AnotherLiquidScalesLikeItsLaw) {
  const LiquidState<double> a = water();
  const LiquidState<double> b{1040, 9.5e-4, 9.5e-4, 3500, 0.40};
  const TubeSection section = round_tube(0.006);
  const auto turbulent = [&](const LiquidState<double>& liquid) {
    const double reynolds = reynolds_number<double>(section, 0.2, liquid.viscosity);
    return sieder_tate_turbulent<double>(reynolds, prandtl_number(liquid)) * liquid.conductivity;
  };
  const auto laminar = [&](const LiquidState<double>& liquid) {
    const double reynolds = reynolds_number<double>(section, 0.001, liquid.viscosity);
    return sieder_tate_laminar<double>(reynolds, prandtl_number(liquid), 0.01) * liquid.conductivity;
  };
  expect_relative(liquid_exchange_factor<double>(0.8, a, b), turbulent(b) / turbulent(a), 1e-12);
  expect_relative(liquid_exchange_factor<double>(1.0 / 3, a, b), laminar(b) / laminar(a), 1e-12);
}

TEST(TubeSide, ATubeWithoutFoulingIsThreeResistances) {
  FouledTube tube{0.010, 0.012, 2, 200, 1000, 500, 0, 0};
  const double clean = tube_resistance(tube);
  const double wall = std::log(1.2) / (2 * pi * 200 * 2);
  EXPECT_NEAR(clean, 1 / (1000 * pi * 0.010 * 2) + wall + 1 / (500 * pi * 0.012 * 2), 1e-15);
  tube.inner_fouling = 1e-3;
  EXPECT_NEAR(tube_resistance(tube) - clean, 1e-3 / (pi * 0.010 * 2), 1e-15);
}

TEST(TubeSide, TellsWhereItsLawsEnd) {
  EXPECT_TRUE(tube_excesses(500, 200).empty());
  EXPECT_TRUE(tube_excesses(2e4, 4).empty());
  const auto between = tube_excesses(3000, 4);
  ASSERT_EQ(between.size(), 1U);
  EXPECT_EQ(describe(between[0]),
            "Gnielinski 1976: the Reynolds number is 3000, the law holds from 4000 to 5e+06");
  ASSERT_EQ(tube_excesses(500, 0.02).size(), 1U);
  EXPECT_EQ(tube_excesses(500, std::nan("")).size(), 1U);
}

}  // namespace
}  // namespace corefeed::cooling
