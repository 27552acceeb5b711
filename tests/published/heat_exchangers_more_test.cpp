// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>

#include "corefeed/cooling/conductance_fit.hpp"
#include "corefeed/cooling/fins.hpp"
#include "corefeed/cooling/passes.hpp"
#include "corefeed/cooling/tube_side.hpp"
#include "corefeed/losses/core_drop.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

/// Cores as textbooks and papers give them: passes, worked examples, tube laws, fins. Worked examples were
/// read in public transcriptions of the books' examples, their arithmetic redone apart from this program.
namespace corefeed::cooling {
namespace {

using corefeed::testing::degree;
using corefeed::testing::pi;
using published::absolute;
using published::Published;
using published::relative;

// Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, 6th ed. 2006, table 11.3;
// computed from the relation.
TEST(PublishedHeatExchangers, ShellAndTube) {
  Published("S-HX-16",
            "Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., Table 11.3; computed",
            "shell and tube, one shell pass, NTU 1, C ratio 0.5")
      .met("effectiveness", shell_and_tube<double>(1.0, 0.5), 0.5399395561, relative(1e-6));
}

// Kays & London, Compact Heat Exchangers; Shah & Sekulic, Fundamentals of Heat Exchanger Design, 2003, ch. 3;
// computed from the relation.
TEST(PublishedHeatExchangers, EqualPassesInCounterflow) {
  struct Row {
    const char* id;
    double each, ratio;
    int passes;
    double expected;
  };
  for (const Row& row :
       {Row{"S-HX-17", 0.35, 0.5, 2, 0.5499334221}, Row{"S-HX-18", 0.35, 0.8, 3, 0.6422942663},
        Row{"S-HX-19", 0.4, 1.0, 2, 0.5714285714}}) {
    Published(row.id, "Kays & London; Shah & Sekulic 2003, ch. 3; computed",
              fmt::format("{} passes of {:g} in counterflow, C ratio {:g}", row.passes, row.each, row.ratio))
        .met("effectiveness", passes_counterflow<double>(row.each, row.ratio, row.passes), row.expected,
             relative(1e-6));
  }
}

// Cengel, Heat and Mass Transfer: A Practical Approach, 3rd ed. 2006, example 11-6: an automobile radiator of
// 40 tubes, U from its temperatures by the corrected logarithmic mean; the exact crossflow series gives 3346.
TEST(PublishedHeatExchangers, RadiatorFromItsTemperatures) {
  const double heat = 0.6 * 4195 * (90 - 65);
  // The air's capacity rate follows from its rise of 20 K.
  const HeatPoint point{1.0, 0.6, heat / (40 - 20), 4195, 90 - 20, heat};
  const double conductance = conductance_of(point, Layout{}).value();
  const double area = 40 * pi * 0.005 * 0.65;
  Published("S-HX-20", "Cengel, Heat and Mass Transfer, 3rd ed., Example 11-6",
            "automobile radiator from its temperatures")
      .met("heat, W", heat, 62930, relative(0.001))
      .met("U, W/(m2 K)", conductance / area, 3347, relative(0.015));
}

// Incropera et al., 6th ed. 2006, example 11.3, p. 692: hot gas to water in crossflow, NTU from the chart;
// the exact series gives 2.081 and 39.3 m2.
TEST(PublishedHeatExchangers, FinnedGasCooler) {
  const double water = 1.0 * 4197;
  const double gas = water * (125 - 35) / (300.0 - 100.0);
  const double share = (300.0 - 100.0) / (300.0 - 35.0);
  const double ntu = ntu_of(Layout{}, share, gas / water, true).value();
  Published("S-HX-21", "Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., Example 11.3",
            "finned gas cooler in crossflow")
      .met("effectiveness", share, 0.755, absolute(0.003))
      .met("C ratio", gas / water, 0.45, absolute(0.002))
      .met("NTU", ntu, 2.1, relative(0.03))
      .met("area, m2", ntu * gas / 100, 39.7, relative(0.03));
}

// Incropera et al., 6th ed. 2006, example 11.1, p. 680: oil in the annulus of a double pipe, counterflow to
// water in the tube; the annulus' Nusselt number 5.63 is the book's.
TEST(PublishedHeatExchangers, DoublePipeOilCooler) {
  const TubeSection tube = round_tube(0.025);
  const double water_reynolds = reynolds_number<double>(tube, 0.2, 0.000725);
  TubeSection annulus;
  annulus.flow_area = pi / 4 * (0.045 * 0.045 - 0.025 * 0.025);
  annulus.wetted_perimeter = pi * (0.045 + 0.025);
  const double water_side = dittus_boelter<double>(water_reynolds, 4.85, 0.4) * 0.625 / 0.025;
  const double oil_side = 5.63 * 0.138 / annulus.hydraulic_diameter();
  const double per_area = 1 / (1 / water_side + 1 / oil_side);
  const HeatPoint point{0.1, 0.2, 2131, 4178, 100 - 30, 0.1 * 2131 * (100 - 60)};
  const double conductance = conductance_of(point, {Arrangement::counterflow}).value();
  Published("S-HX-22", "Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., Example 11.1",
            "double-pipe oil cooler in counterflow")
      .met("Re of the water", water_reynolds, 14050, relative(0.002))
      .met("Re of the oil", reynolds_number<double>(annulus, 0.1, 0.0325), 56.0, relative(0.002))
      .met("length, m", conductance / (per_area * pi * 0.025), 65.9, relative(0.01));
}

// Cengel, 3rd ed. 2006, example 11-2: a fouled tube.
TEST(PublishedHeatExchangers, FouledTube) {
  const FouledTube tube{0.015, 0.019, 1, 15.1, 800, 1200, 0.0004, 0.0001};
  const double resistance = tube_resistance(tube);
  Published("S-HX-23", "Cengel, Heat and Mass Transfer, 3rd ed., Example 11-2", "fouled tube")
      .met("resistance, K/W", resistance, 0.0532, relative(0.003))
      .met("U inside, W/(m2 K)", 1 / (resistance * pi * 0.015), 399, relative(0.003))
      .met("U outside, W/(m2 K)", 1 / (resistance * pi * 0.019), 315, relative(0.003));
}

// Holman, Heat Transfer (SI), example 10-9: steam, mixed, heats oil, unmixed and the smaller; computed from
// the relation, the transcription rounds the effectiveness to 0.8.
TEST(PublishedHeatExchangers, OilHeaterOffItsDesign) {
  const double oil = 0.725 * 1900;
  const double steam = 5.2 * 1860;
  const double ntu = 275 * 10.83 / oil;
  const double share = crossflow_largest_mixed<double>(ntu, oil / steam);
  Published("S-HX-24", "Holman, Heat Transfer (SI), Example 10-9; computed",
            "oil heater off its design point")
      .met("effectiveness", share, 0.8314207917, relative(0.003))
      .met("heat, W", share * oil * (130 - 15), 131707.4462, relative(0.003))
      .met("NTU", ntu, 2.162068966, relative(0.003))
      .met("C ratio", oil / steam, 0.1424214227, relative(0.003));
}

// Cengel, 3rd ed. 2006, example 8-6: warm air in a square duct of the attic, wall at 60 degC.
TEST(PublishedHeatExchangers, WarmAirDuct) {
  const TubeSection duct = rectangular_tube(0.2, 0.2);
  const double flow = 0.15 * 0.9994;
  const double reynolds = reynolds_number<double>(duct, flow, 2.097e-5 * 0.9994);
  const double coefficient =
      dittus_boelter<double>(reynolds, 0.7154, 0.3) * 0.02953 / duct.hydraulic_diameter();
  const double capacity = flow * 1008;
  const double ntu = coefficient * duct.wetted_perimeter * 8 / capacity;
  const double heat = capacity * (80 - 60) * effectiveness<double>(Arrangement::counterflow, ntu, 0.0, true);
  Published("S-HX-25", "Cengel, Heat and Mass Transfer, 3rd ed., Example 8-6", "warm air in a square duct")
      .met("Re", reynolds, 35765.37911, relative(0.002))
      .met("outlet, degC", 80 - heat / capacity, 71.3, absolute(0.1))
      .met("heat, W", heat, 1313, relative(0.006));
}

// Gnielinski 1976, Int. Chem. Eng. 16:359; computed from the relation.
TEST(PublishedHeatExchangers, Gnielinski) {
  struct Row {
    const char* id;
    double reynolds, prandtl, nusselt, friction;
  };
  for (const Row& row : {Row{"S-HX-26", 1e4, 0.7, 29.81741185, 0.03147980276},
                         Row{"S-HX-27", 5e4, 5.0, 285.173281, 0.02095764667},
                         Row{"S-HX-28", 5000, 0.71, 16.72201712, 0.03861947266}}) {
    Published(row.id, "Gnielinski, Int. Chem. Eng. 16, 1976; computed",
              fmt::format("tube, Re {:g}, Pr {:g}", row.reynolds, row.prandtl))
        .met("Nu", gnielinski<double>(row.reynolds, row.prandtl), row.nusselt, relative(1e-5))
        .met("f", petukhov_friction<double>(row.reynolds), row.friction, relative(1e-5));
  }
}

// Dittus & Boelter 1930 in McAdams' form; computed from the relation.
TEST(PublishedHeatExchangers, DittusBoelter) {
  Published("S-HX-29", "Dittus & Boelter 1930 in McAdams' form; computed", "tube, Re 30000, Pr 0.7")
      .met("Nu", dittus_boelter<double>(3e4, 0.7, 0.4), 76.1139141, relative(1e-5));
}

// Sieder & Tate 1936, Ind. Eng. Chem. 28:1429; computed from the relation.
TEST(PublishedHeatExchangers, SiederTateLaminar) {
  Published("S-HX-30", "Sieder & Tate, Ind. Eng. Chem. 28, 1936; computed", "laminar tube, Re 800, Pr 150")
      .met("Nu", sieder_tate_laminar<double>(800, 150, 0.01, 3.0), 23.05173767, relative(1e-5));
}

// Kays & London, Compact Heat Exchangers, 3rd ed. 1984, eq. 2-26a; computed from the relation.
TEST(PublishedHeatExchangers, CorePressureDrop) {
  const double sigma = 0.7;
  const losses::Matrix<double> matrix{sigma, 0.35, 0.08, 0.035 * 55.0};
  const double mean = 2 / (1 / 1.177 + 1 / 1.03);
  // The example gives the flux in the passages.
  const double found = losses::static_drop<double>(matrix, 9.0 * sigma, {1.177, 1.03, mean});
  Published("S-HX-31", "Kays & London, Compact Heat Exchangers, 3rd ed., Eq. 2-26a; computed",
            "core with entrance, acceleration, friction and exit")
      .met("drop, Pa", found, 93.47119446, relative(1e-5));
}

// Chang & Wang 1997, Int. J. Heat Mass Transfer 40:533 (j); Chang, Hsu, Lin & Wang 2000, 43:2237 (f);
// constants partly read in public code, partly from memory; computed from the relations, with a hydraulic
// diameter of its own.
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
  struct Row {
    const char* id;
    double reynolds, colburn, fanning;
  };
  for (const Row& row :
       {Row{"S-HX-32", 100, 0.04974300549, 0.2693330399}, Row{"S-HX-33", 300, 0.02903638908, 0.1067448058},
        Row{"S-HX-34", 600, 0.02067463777, 0.07247868766}}) {
    Published(row.id, "Chang & Wang 1997 (j), Chang et al. 2000 (f), IJHMT 40 and 43; memory, computed",
              fmt::format("louvered fin, Re on the louver pitch {:g}", row.reynolds))
        .met("j", louver_colburn<double>(fin, row.reynolds), row.colburn, relative(1e-4))
        .met("f (Fanning)", losses::louver_fanning<double>(fin, 2.4e-3, row.reynolds), row.fanning,
             relative(1e-4));
  }
}

// The adiabatic-tip fin of every textbook; computed from the relation.
TEST(PublishedHeatExchangers, FinEfficiency) {
  Published("S-HX-35", "any text; computed", "plain fin, mL = 0.5")
      .met("efficiency", fin_efficiency<double>(0.5), 0.9242343145, relative(1e-6));
  Published("S-HX-36", "any text; computed", "plain fin, mL = 1")
      .met("efficiency", fin_efficiency<double>(1.0), 0.761594156, relative(1e-6));
}

}  // namespace
}  // namespace corefeed::cooling
