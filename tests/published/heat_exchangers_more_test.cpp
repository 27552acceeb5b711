// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "corefeed/cooling/conductance_fit.hpp"
#include "corefeed/cooling/fins.hpp"
#include "corefeed/cooling/passes.hpp"
#include "corefeed/cooling/pressure_drop.hpp"
#include "corefeed/cooling/tube_side.hpp"
#include "tests/support/check.hpp"

/// Cores as textbooks and papers give them: passes, worked examples, tube laws, fins. Worked examples were
/// read in public transcriptions of the books' examples, their arithmetic redone apart from this program.
namespace corefeed::cooling {
namespace {

using corefeed::testing::degree;
using corefeed::testing::expect_relative;
using corefeed::testing::pi;

// Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, 6th ed. 2006, table 11.3;
// computed from the relation.
// S-HX-16.
TEST(PublishedHeatExchangers, ShellAndTube) {
  expect_relative(shell_and_tube<double>(1.0, 0.5), 0.5399395561, 1e-6);
}

// Kays & London, Compact Heat Exchangers; Shah & Sekulic, Fundamentals of Heat Exchanger Design, 2003, ch. 3;
// computed from the relation.
// S-HX-17..19, in this order.
TEST(PublishedHeatExchangers, EqualPassesInCounterflow) {
  expect_relative(passes_counterflow<double>(0.35, 0.5, 2), 0.5499334221, 1e-6);
  expect_relative(passes_counterflow<double>(0.35, 0.8, 3), 0.6422942663, 1e-6);
  expect_relative(passes_counterflow<double>(0.4, 1.0, 2), 0.5714285714, 1e-6);
}

// Cengel, Heat and Mass Transfer: A Practical Approach, 3rd ed. 2006, example 11-6: an automobile radiator of
// 40 tubes, U from its temperatures by the corrected logarithmic mean; the exact crossflow series gives 3346.
// S-HX-20.
TEST(PublishedHeatExchangers, RadiatorFromItsTemperatures) {
  const double heat = 0.6 * 4195 * (90 - 65);
  expect_relative(heat, 62930, 0.001, "heat");
  // The air's capacity rate follows from its rise of 20 K.
  const HeatPoint point{1.0, 0.6, heat / (40 - 20), 4195, 90 - 20, heat};
  const double conductance = conductance_of(point, Layout{}).value();
  const double area = 40 * pi * 0.005 * 0.65;
  expect_relative(conductance / area, 3347, 0.015, "U");
}

// Incropera et al., 6th ed. 2006, example 11.3, p. 692: hot gas to water in crossflow, NTU from the chart;
// the exact series gives 2.081 and 39.3 m2. S-HX-21.
TEST(PublishedHeatExchangers, FinnedGasCooler) {
  const double water = 1.0 * 4197;
  const double gas = water * (125 - 35) / (300.0 - 100.0);
  const double share = (300.0 - 100.0) / (300.0 - 35.0);
  EXPECT_NEAR(share, 0.755, 0.003);
  EXPECT_NEAR(gas / water, 0.45, 0.002);
  const double ntu = ntu_of(Layout{}, share, gas / water, true).value();
  expect_relative(ntu, 2.1, 0.03, "NTU");
  expect_relative(ntu * gas / 100, 39.7, 0.03, "area");
}

// Incropera et al., 6th ed. 2006, example 11.1, p. 680: oil in the annulus of a double pipe, counterflow to
// water in the tube; the annulus' Nusselt number 5.63 is the book's.
// S-HX-22.
TEST(PublishedHeatExchangers, DoublePipeOilCooler) {
  const TubeSection tube = round_tube(0.025);
  const double water_reynolds = reynolds_number<double>(tube, 0.2, 0.000725);
  expect_relative(water_reynolds, 14050, 0.002, "water Re");
  TubeSection annulus;
  annulus.flow_area = pi / 4 * (0.045 * 0.045 - 0.025 * 0.025);
  annulus.wetted_perimeter = pi * (0.045 + 0.025);
  expect_relative(reynolds_number<double>(annulus, 0.1, 0.0325), 56.0, 0.002, "oil Re");
  const double water_side = dittus_boelter<double>(water_reynolds, 4.85, 0.4) * 0.625 / 0.025;
  const double oil_side = 5.63 * 0.138 / annulus.hydraulic_diameter();
  const double per_area = 1 / (1 / water_side + 1 / oil_side);
  const HeatPoint point{0.1, 0.2, 2131, 4178, 100 - 30, 0.1 * 2131 * (100 - 60)};
  const double conductance = conductance_of(point, {Arrangement::counterflow}).value();
  expect_relative(conductance / (per_area * pi * 0.025), 65.9, 0.01, "length");
}

// Cengel, 3rd ed. 2006, example 11-2: a fouled tube.
// S-HX-23.
TEST(PublishedHeatExchangers, FouledTube) {
  const FouledTube tube{0.015, 0.019, 1, 15.1, 800, 1200, 0.0004, 0.0001};
  const double resistance = tube_resistance(tube);
  expect_relative(resistance, 0.0532, 0.003, "resistance");
  expect_relative(1 / (resistance * pi * 0.015), 399, 0.003, "U inside");
  expect_relative(1 / (resistance * pi * 0.019), 315, 0.003, "U outside");
}

// Holman, Heat Transfer (SI), example 10-9: steam, mixed, heats oil, unmixed and the smaller; computed from
// the relation, the transcription rounds the effectiveness to 0.8. S-HX-24.
TEST(PublishedHeatExchangers, OilHeaterOffItsDesign) {
  const double oil = 0.725 * 1900;
  const double steam = 5.2 * 1860;
  const double ntu = 275 * 10.83 / oil;
  expect_relative(ntu, 2.162068966, 0.003, "NTU");
  expect_relative(oil / steam, 0.1424214227, 0.003, "capacity ratio");
  const double share = crossflow_largest_mixed<double>(ntu, oil / steam);
  expect_relative(share, 0.8314207917, 0.003, "effectiveness");
  expect_relative(share * oil * (130 - 15), 131707.4462, 0.003, "heat");
}

// Cengel, 3rd ed. 2006, example 8-6: warm air in a square duct of the attic, wall at 60 degC.
// S-HX-25.
TEST(PublishedHeatExchangers, WarmAirDuct) {
  const TubeSection duct = rectangular_tube(0.2, 0.2);
  const double flow = 0.15 * 0.9994;
  const double reynolds = reynolds_number<double>(duct, flow, 2.097e-5 * 0.9994);
  expect_relative(reynolds, 35765.37911, 0.002, "Re");
  const double coefficient =
      dittus_boelter<double>(reynolds, 0.7154, 0.3) * 0.02953 / duct.hydraulic_diameter();
  const double capacity = flow * 1008;
  const double ntu = coefficient * duct.wetted_perimeter * 8 / capacity;
  const double heat = capacity * (80 - 60) * effectiveness<double>(Arrangement::counterflow, ntu, 0.0, true);
  EXPECT_NEAR(80 - heat / capacity, 71.3, 0.1);
  expect_relative(heat, 1313, 0.006, "heat");
}

// Gnielinski 1976, Int. Chem. Eng. 16:359; computed from the relation.
// S-HX-26..28, in this order.
TEST(PublishedHeatExchangers, Gnielinski) {
  expect_relative(gnielinski<double>(1e4, 0.7), 29.81741185, 1e-5);
  expect_relative(petukhov_friction<double>(1e4), 0.03147980276, 1e-5);
  expect_relative(gnielinski<double>(5e4, 5.0), 285.173281, 1e-5);
  expect_relative(petukhov_friction<double>(5e4), 0.02095764667, 1e-5);
  expect_relative(gnielinski<double>(5000, 0.71), 16.72201712, 1e-5);
  expect_relative(petukhov_friction<double>(5000), 0.03861947266, 1e-5);
}

// Dittus & Boelter 1930 in McAdams' form; computed from the relation.
// S-HX-29.
TEST(PublishedHeatExchangers, DittusBoelter) {
  expect_relative(dittus_boelter<double>(3e4, 0.7, 0.4), 76.1139141, 1e-5);
}

// Sieder & Tate 1936, Ind. Eng. Chem. 28:1429; computed from the relation.
// S-HX-30.
TEST(PublishedHeatExchangers, SiederTateLaminar) {
  expect_relative(sieder_tate_laminar<double>(800, 150, 0.01, 3.0), 23.05173767, 1e-5);
}

// Kays & London, Compact Heat Exchangers, 3rd ed. 1984, eq. 2-26a; computed from the relation.
// S-HX-31.
TEST(PublishedHeatExchangers, CorePressureDrop) {
  const double sigma = 0.7;
  const Matrix<double> matrix{sigma, 0.35, 0.08, 0.035 * 55.0};
  const double mean = 2 / (1 / 1.177 + 1 / 1.03);
  // The example gives the flux in the passages.
  const double found = static_drop<double>(matrix, 9.0 * sigma, {1.177, 1.03, mean});
  expect_relative(found, 93.47119446, 1e-5);
}

// Chang & Wang 1997, Int. J. Heat Mass Transfer 40:533 (j); Chang, Hsu, Lin & Wang 2000, 43:2237 (f);
// constants partly read in public code, partly from memory; computed from the relations, with a hydraulic
// diameter of its own.
// S-HX-32..34, in this order.
TEST(PublishedHeatExchangers, LouveredFin) {
  LouverFin fin;
  fin.louver_pitch = 1.4e-3;
  fin.louver_angle = 27 * degree;
  fin.louver_length = 6.8e-3;
  fin.fin_pitch = 1.5e-3;
  fin.fin_height = 8e-3;
  fin.fin_thickness = 0.1e-3;
  fin.tube_pitch = 10e-3;
  fin.tube_thickness = 2e-3;
  fin.depth = 16e-3;
  const auto expect_factors = [&](double reynolds, double colburn, double fanning) {
    expect_relative(louver_colburn<double>(fin, reynolds), colburn, 1e-4, "j");
    expect_relative(louver_fanning<double>(fin, 2.4e-3, reynolds), fanning, 1e-4, "f");
  };
  expect_factors(100, 0.04974300549, 0.2693330399);
  expect_factors(300, 0.02903638908, 0.1067448058);
  expect_factors(600, 0.02067463777, 0.07247868766);
}

// The adiabatic-tip fin of every textbook; computed from the relation.
// S-HX-35 and S-HX-36, in this order.
TEST(PublishedHeatExchangers, FinEfficiency) {
  expect_relative(fin_efficiency<double>(0.5), 0.9242343145, 1e-6);
  expect_relative(fin_efficiency<double>(1.0), 0.761594156, 1e-6);
}

}  // namespace
}  // namespace corefeed::cooling
