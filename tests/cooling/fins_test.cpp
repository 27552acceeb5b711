// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/fins.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "tests/support/check.hpp"

namespace corefeed::cooling {
namespace {

using corefeed::testing::degree;
using corefeed::testing::expect_relative;

LouverFin louver() {
  LouverFin fin;
  fin.louver_pitch = 1.2e-3;
  fin.louver_angle = 27 * degree;
  fin.louver_length = 6.8e-3;
  fin.fin_pitch = 1.6e-3;
  fin.fin_height = 8e-3;
  fin.fin_thickness = 0.1e-3;
  fin.tube_pitch = 10e-3;
  fin.tube_thickness = 2e-3;
  fin.depth = 32e-3;
  return fin;
}

OffsetStripFin strips() {
  return {.spacing = 1.5e-3,
          .height = 5e-3,
          .strip_length = 4e-3,
          .thickness = 0.15e-3,
          .layer_pitch = 8e-3,
          .depth = 40e-3};
}

PlainFin plain() {
  return {
      .fin_pitch = 2e-3, .fin_height = 8e-3, .fin_thickness = 0.1e-3, .tube_pitch = 10e-3, .depth = 32e-3};
}

template <class S>
FaceFlow<S> air(const S& flux) {
  return {flux, S(1.9e-5), S(1007.0), S(0.027)};
}

Dual seeded(double value) {
  Dual number(value);
  number.derivatives().setZero();
  number.derivatives()[0] = 1;
  return number;
}

double slope(const std::function<double(double)>& law, double at) {
  const double step = 1e-6 * at;
  return (law(at + step) - law(at - step)) / (2 * step);
}

// The laws evaluated apart from this program for one invented core.
TEST(LouverFins, FactorsOfOneCore) {
  const LouverFin fin = louver();
  const double diameter = losses::surface_of(fin).hydraulic_diameter;
  expect_relative(louver_colburn<double>(fin, 300), 0.02339, 2e-4, "j");
  expect_relative(losses::louver_fanning<double>(fin, diameter, 300), 0.10458, 1e-4, "f");
  expect_relative(louver_colburn<double>(fin, 150), 0.03285, 2e-4, "j");
  expect_relative(losses::louver_fanning<double>(fin, diameter, 150), 0.14209, 1e-4,
                  "f between the branches");
}

TEST(LouverFins, FrictionIsOneCurveOverItsBranches) {
  const LouverFin fin = louver();
  const double diameter = losses::surface_of(fin).hydraulic_diameter;
  for (const double joint : {30.0, 130.0, 230.0}) {
    const double below = losses::louver_fanning<double>(fin, diameter, joint * (1 - 1e-9));
    const double above = losses::louver_fanning<double>(fin, diameter, joint * (1 + 1e-9));
    expect_relative(below, above, 1e-7, "at " + std::to_string(joint));
  }
  EXPECT_DOUBLE_EQ(losses::louver_fanning<double>(fin, diameter, 100),
                   losses::louver_fanning<double>(losses::slow_branch<double>(fin, diameter), 100));
  EXPECT_DOUBLE_EQ(losses::louver_fanning<double>(fin, diameter, 500),
                   losses::louver_fanning<double>(losses::fast_branch<double>(fin, diameter), 500));
  double before = 1e9;
  for (double reynolds = 1; reynolds < 3000; reynolds *= 1.05) {
    const double now = losses::louver_fanning<double>(fin, diameter, reynolds);
    EXPECT_LT(now, before) << reynolds;
    before = now;
  }
}

// Fins for which the law's fast branch lies far below the slow one, in the second so far that no loss that
// rises joins them: f Re^2 rises all the same, as the loss of any passage does.
TEST(LouverFins, MoreFlowLosesMoreWhereTheBranchesPart) {
  LouverFin near = louver();
  near.louver_pitch = 1.4e-3;
  near.fin_pitch = 1.5e-3;
  near.depth = 16e-3;
  EXPECT_NEAR(losses::branch_step(near), 0.59, 0.01);
  LouverFin far = louver();
  far.fin_pitch = 3e-3;
  far.fin_thickness = 0.05e-3;
  far.louver_pitch = 2.9e-3;
  far.louver_angle = 20 * degree;
  ASSERT_LT(losses::branch_step(far), losses::least_louver_step);
  for (const LouverFin& fin : {near, far}) {
    const double diameter = losses::surface_of(fin).hydraulic_diameter;
    double before = 0.0;
    for (double reynolds = 100; reynolds < 300; reynolds += 0.5) {
      const double now = losses::louver_fanning<double>(fin, diameter, reynolds) * reynolds * reynolds;
      EXPECT_GT(now, before) << reynolds;
      before = now;
    }
  }
}

TEST(LouverFins, CreepingFlowLosesInProportion) {
  const LouverFin fin = louver();
  const double diameter = losses::surface_of(fin).hydraulic_diameter;
  expect_relative(losses::louver_fanning<double>(fin, diameter, 0.01) * 0.01,
                  losses::louver_fanning<double>(fin, diameter, 20) * 20, 1e-12);
}

// Counted by hand: per fin and gap two sides of 8 mm by 32 mm and two strips of tube of 1.5 mm by 32 mm over
// a face of 1.6 mm by 10 mm.
TEST(LouverFins, SurfaceIsCountedFromTheGeometry) {
  const Surface surface = losses::surface_of(louver());
  EXPECT_NEAR(surface.free_flow_ratio, 1.5 * 8 / (1.6 * 10), 1e-12);
  EXPECT_NEAR(surface.area_ratio, 2 * (8 + 1.5) * 32 / (1.6 * 10), 1e-9);
  EXPECT_NEAR(surface.fin_share, 8 / 9.5, 1e-12);
  EXPECT_NEAR(surface.hydraulic_diameter, 4 * surface.free_flow_ratio * 32e-3 / surface.area_ratio, 1e-12);
}

// A core of 32 mm and 1.25 mm fin pitch: 108 Pa at 4 m/s and 325 Pa at 8 m/s are common (between cores of 27
// and 36 mm; common practice, no source, +-25 %, and the law's own 20 %).
TEST(LouverFins, ACommonRadiatorIsWhereRadiatorsAre) {
  LouverFin fin = louver();
  fin.fin_pitch = 1.25e-3;
  const auto loss = [&](double velocity) {
    const FinnedSide<double> side = finned_side<double>(fin, air(1.15 * velocity));
    return losses::cold_drop<double>(side.matrix, 1.15 * velocity, 1.15);
  };
  expect_relative(loss(4), 108, 0.32);
  expect_relative(loss(8), 325, 0.32);
  const double exponent = std::log(loss(8) / loss(4)) / std::log(2.0);
  EXPECT_GT(exponent, 1.4);
  EXPECT_LT(exponent, 1.85);
  // Fins worth their weight: most of their area works.
  const FinnedSide<double> side = finned_side<double>(fin, air(1.15 * 8));
  EXPECT_GT(side.efficiency, 0.8);
  EXPECT_LT(side.efficiency, 1.0);
}

// The formulas of Manglik & Bergles 1995 worked out apart from this program.
TEST(OffsetStrips, FactorsOfOneFin) {
  const Factors<double> slow = offset_strip_factors<double>(strips(), 200);
  const Factors<double> fast = offset_strip_factors<double>(strips(), 5000);
  expect_relative(slow.colburn, 0.032317302, 1e-8, "j slow");
  expect_relative(slow.fanning, 0.1596558699, 1e-8, "f slow");
  expect_relative(fast.colburn, 0.006895000346, 1e-8, "j fast");
  expect_relative(fast.fanning, 0.03044393891, 1e-8, "f fast");
}

TEST(OffsetStrips, SurfaceIsCountedFromOneStripsCell) {
  const Surface surface = losses::surface_of(strips());
  // Cell of 4 mm: floor and roof, both sides of the strip, its two ends, its edge.
  const double wetted = 2 * 1.5 * 4 + 2 * 5 * 4 + 2 * 0.15 * 5 + 0.15 * 1.5;
  EXPECT_NEAR(surface.hydraulic_diameter, 4 * 1.5 * 5 * 4 / wetted * 1e-3, 1e-12);
  EXPECT_NEAR(surface.fin_share, 1 - 2 * 1.5 * 4 / wetted, 1e-12);
  EXPECT_NEAR(surface.free_flow_ratio, 1.5 * 5 / (1.65 * 8), 1e-12);
  EXPECT_NEAR(surface.area_ratio, wetted * 10 / (1.65 * 8), 1e-9);  // ten cells of 4 mm in 40 mm of depth
}

TEST(PlainFins, LongPassagesReachTheDevelopedLimits) {
  PlainFin fin = plain();
  fin.depth = 100;
  const double aspect = 1.9 / 8.0;
  const Factors<double> factors = plain_factors<double>(fin, 500, 0.71);
  expect_relative(4 * 500 * factors.fanning, losses::rectangle_laminar<double>(aspect), 0.001);
  expect_relative(factors.colburn * 500 * std::cbrt(0.71), rectangular_nusselt(aspect), 0.001);
}

// Hausen 1943 at Gz = Re Pr D/L, and 1.2 dynamic heads of entrance on top of the developed friction;
// turbulent Gnielinski and 0.1 heads. Worked out in the Fanning factor, 4 f L/D being the loss in heads.
TEST(PlainFins, ShortPassagesTransferAndLoseMore) {
  const double diameter = losses::surface_of(plain()).hydraulic_diameter;
  const double shortness = diameter / 32e-3;
  const double developed = rectangular_nusselt(1.9 / 8.0);
  const Factors<double> slow = plain_factors<double>(plain(), 800, 0.71);
  const double graetz = 800 * 0.71 * shortness;
  const double nusselt = developed + 0.0668 * graetz / (1 + 0.04 * std::cbrt(graetz * graetz));
  expect_relative(slow.colburn * 800 * std::cbrt(0.71), nusselt, 1e-12);
  const double product = losses::rectangle_laminar<double>(1.9 / 8.0);
  expect_relative(4 * slow.fanning / shortness, product / 800 / shortness + 1.2, 1e-4);
  const Factors<double> fast = plain_factors<double>(plain(), 9000, 0.71);
  expect_relative(fast.colburn * 9000 * std::cbrt(0.71), gnielinski<double>(9000, 0.71), 1e-12);
  const double darcy = losses::darcy_friction<double>(9000, 0.0, product);
  expect_relative(4 * fast.fanning / shortness, darcy / shortness + 0.1, 1e-12);
}

TEST(PlainFins, TransferLessAndLoseLessThanLouvers) {
  const FinnedSide<double> even = finned_side<double>(plain(), air(9.0));
  const FinnedSide<double> cut = finned_side<double>(louver(), air(9.0));
  EXPECT_LT(even.coefficient, 0.6 * cut.coefficient);
  EXPECT_LT(losses::cold_drop<double>(even.matrix, 9.0, 1.15),
            0.6 * losses::cold_drop<double>(cut.matrix, 9.0, 1.15));
}

TEST(FinEfficiency, IsOneForFinsThatLoseNoTemperature) {
  EXPECT_NEAR(fin_efficiency<double>(0.0), 1.0, 1e-13);
  EXPECT_NEAR(fin_efficiency<double>(1e-3), 1 - 1e-6 / 3, 1e-12);
  EXPECT_NEAR(fin_efficiency<double>(20.0), 1 / 20.0, 1e-12);
  const Surface surface = losses::surface_of(louver());
  // m = sqrt(2 h/(k t)), l = 4 mm.
  EXPECT_NEAR(fin_parameter<double>(surface, 100.0), 4e-3 * std::sqrt(2 * 100 / (200 * 1e-4)), 1e-12);
}

// h = j G_c cp Pr^(-2/3), eta_o h A, f 4 L/D_h, once more by hand.
TEST(FinnedSides, AreTheirFactorsAndTheirSurface) {
  const FinnedSide<double> side = finned_side<double>(louver(), air(6.0));
  const Surface surface = losses::surface_of(louver());
  const double flux = 6.0 / 0.75;
  expect_relative(side.reynolds, flux * 1.2e-3 / 1.9e-5, 1e-12);
  const double prandtl = 1007 * 1.9e-5 / 0.027;
  const double coefficient =
      louver_colburn<double>(louver(), side.reynolds) * flux * 1007 / std::pow(prandtl, 2.0 / 3);
  expect_relative(side.coefficient, coefficient, 1e-12);
  const double m = 4e-3 * std::sqrt(2 * coefficient / (200 * 1e-4));
  const double efficiency = 1 - 8 / 9.5 * (1 - std::tanh(m) / m);
  expect_relative(side.conductance, efficiency * coefficient * surface.area_ratio, 1e-12);
  expect_relative(side.matrix.friction, side.factors.fanning * 4 * 32e-3 / surface.hydraulic_diameter, 1e-12);
  EXPECT_NEAR(side.matrix.entrance, 0.175, 1e-12);  // 0.4 (1 - sigma^2) and (1 - sigma)^2
  EXPECT_NEAR(side.matrix.exit, 0.0625, 1e-12);
}

TEST(FinnedSides, DerivativesMatchDifferences) {
  for (const double flux : {0.5, 3.0, 9.0, 25.0}) {
    const auto conductance = [](double x) { return finned_side<double>(louver(), air(x)).conductance; };
    const auto friction = [](double x) { return finned_side<double>(louver(), air(x)).matrix.friction; };
    const FinnedSide<Dual> side = finned_side<Dual>(louver(), air(seeded(flux)));
    expect_relative(side.conductance.derivatives()[0], slope(conductance, flux), 1e-6, "louver h");
    expect_relative(side.matrix.friction.derivatives()[0], slope(friction, flux), 1e-6, "louver f");
    const auto stripped = [](double x) { return finned_side<double>(strips(), air(x)).conductance; };
    const FinnedSide<Dual> strip = finned_side<Dual>(strips(), air(seeded(flux)));
    expect_relative(strip.conductance.derivatives()[0], slope(stripped, flux), 1e-6, "strips h");
    const auto straight = [](double x) { return finned_side<double>(plain(), air(x)).conductance; };
    const FinnedSide<Dual> even = finned_side<Dual>(plain(), air(seeded(flux)));
    expect_relative(even.conductance.derivatives()[0], slope(straight, flux), 1e-6, "plain h");
  }
}

}  // namespace
}  // namespace corefeed::cooling
