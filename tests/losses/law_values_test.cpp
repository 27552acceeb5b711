// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "corefeed/losses/area_change.hpp"
#include "corefeed/losses/friction.hpp"
#include "corefeed/losses/mitre.hpp"
#include "corefeed/losses/plate.hpp"
#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

// Numbers of every law, computed apart from this library from the formulas named above each test. Functions
// are held to 1e-10, whole laws to 1e-7: the rounding that keeps a slope at zero flow leaves 5e-9.
namespace corefeed::losses {
namespace {

using testing::degree;
using testing::expect_relative;
using testing::LawCase;
using testing::part_coefficient;

struct Pair {
  double given, expected;
};

// Churchill 1977, Chem. Eng. 84(24):91.
// S-FR-19 and S-FR-21..25 but for Re 1000.
TEST(LawValues, Friction) {
  struct Row {
    double reynolds, roughness, factor;
  };
  for (const Row& row :
       {Row{500, 0, 0.128}, Row{1000, 0, 0.06400000000000129}, Row{3000, 1e-4, 0.04304899257104456},
        Row{1e4, 0, 0.031002130652565126}, Row{1e5, 1e-4, 0.018462624566280075},
        Row{1e5, 1e-2, 0.03873355752218111}, Row{1e6, 1e-3, 0.020021956409965864}}) {
    expect_relative(darcy_friction<double>(row.reynolds, row.roughness), row.factor, 1e-10);
  }
}

// Laminar flow in a section other than the circle: f Re is the section's own (plane slot 96).
TEST(LawValues, FrictionTakesTheSectionsLaminarLevel) {
  for (const double product : {56.91, 64.0, 96.0})
    expect_relative(darcy_friction<double>(800.0, 0.0, product), product / 800.0, 1e-6);
}

// Idelchik, Handbook of Hydraulic Resistance, ch. 5: phi = 3.2 tan(theta)^1.25, cone.
TEST(LawValues, AttachedDiffuser) {
  for (const Pair& row :
       {Pair{6, 0.08024069378142497}, Pair{8, 0.11506801972030452}, Pair{12, 0.1915028533012558},
        Pair{20, 0.3656355731012252}, Pair{30, 0.6169010989566351}, Pair{40, 0.9046535954200025}}) {
    LawCase law("diffuser");
    law.set("inlet_area", 0.02).set("outlet_area", 0.05).set("angle", row.given * degree);
    expect_relative(law.reported("expansion_share"), row.expected, 1e-10);
    expect_relative(part_coefficient(law, "diffuser", 0.02), row.expected * 0.36, 1e-7);
  }
}

// Idelchik, Diagram 4-9.
// S-ML-11..14 but for 0.7.
TEST(LawValues, SuddenContraction) {
  for (const Pair& row :
       {Pair{0.1, 0.4620105432361534}, Pair{0.3, 0.3826427898751827}, Pair{0.5, 0.29730177875068026},
        Pair{0.7, 0.2026800232210552}, Pair{0.9, 0.08891397050194612}}) {
    expect_relative(sudden_contraction<double>(row.given, 0.0), row.expected, 1e-10);
  }
}

// Idelchik, Diagram 5-23: 0.465 in the limit of a flat wall and a large vessel.
TEST(LawValues, ConicalContraction) {
  EXPECT_NEAR(conical_contraction<double>(0.0, 180 * degree), 0.465, 5e-4);
}

// Idelchik, Diagram 3-4.
// S-ML-15 at 0.
TEST(LawValues, RoundedEntrance) {
  for (const Pair& row : {Pair{0, 0.5}, Pair{0.02, 0.3596839902573865}, Pair{0.05, 0.22368583397574518},
                          Pair{0.1, 0.10981745166570198}, Pair{0.2, 0.043554948064695044}}) {
    expect_relative(rounded_entrance<double>(row.given), row.expected, 1e-10);
  }
}

LawCase bend(double angle, double radius_over_width, double aspect) {
  LawCase law("bend");
  // Section of width 1 m, so that Re is above 2e5 at 10 m/s and the loss does not depend on it.
  law.set("angle", angle * degree).set("radius", radius_over_width).set("aspect", aspect);
  return law.set("area", aspect).set("hydraulic_diameter", 2.0 * aspect / (1.0 + aspect));
}

// Idelchik, Diagram 6-1: A1 B1 C1. What fades out of the laminar share 800/Re leaves 6e-6 at Re 6e5.
TEST(LawValues, SmoothBend) {
  struct Row {
    double ratio, angle, aspect, loss;
  };
  for (const Row& row :
       {Row{0.75, 90, 1, 0.4203109959700475}, Row{1, 90, 1, 0.20475}, Row{1.5, 90, 1, 0.1671776749449519},
        Row{2, 90, 1, 0.1447801134479456}, Row{1, 45, 1, 0.13030210210315105}, Row{1, 90, 0.5, 0.231},
        Row{1, 90, 2, 0.191625}, Row{1, 90, 4, 0.1850625}}) {
    const LawCase law = bend(row.angle, row.ratio, row.aspect);
    EXPECT_NEAR(part_coefficient(law, "bend", row.aspect), row.loss, 2e-5);
  }
}

// Idelchik, Diagram 6-5.
TEST(LawValues, MitreBend) {
  for (const Pair& row :
       {Pair{30, 0.16169790539781925}, Pair{45, 0.3423779787717342}, Pair{60, 0.5484374999999998},
        Pair{75, 0.8110111009618644}, Pair{90, 1.1849999999999994}}) {
    expect_relative(mitre_loss<double>(row.given * degree), row.expected, 1e-10);
  }
}

// Idelchik, Diagram 8-1.
// S-ML-29..32 but for 0.7.
TEST(LawValues, Plate) {
  for (const Pair& row :
       {Pair{0.3, 18.53355993626031}, Pair{0.5, 3.999395977195557}, Pair{0.6, 1.9934901358840198},
        Pair{0.7, 0.9638747120279423}, Pair{0.8, 0.4163153200115436}}) {
    expect_relative(plate_loss<double>(row.given), row.expected, 1e-10);
  }
}

// Closure of ours, 0.5 tan^2 i on the normal head.
TEST(LawValues, InclinedCore) {
  for (const Pair& row : {Pair{0, 0.0}, Pair{15, 0.03589838486224541}, Pair{30, 0.16666666666666666},
                          Pair{45, 0.4999999999999999}, Pair{60, 1.4999999999999991}}) {
    LawCase law("core");
    law.set("face_area", 0.2).set("air_loss.linear", 20).set("air_loss.quadratic", 5);
    law.set("incidence", row.given * degree);
    EXPECT_NEAR(part_coefficient(law, "turning into the core", 0.2), row.expected, 1e-6);
  }
}

// The static density solves rho R (T_t - G^2/(2 cp rho^2)) = p_t - G^2/(2 rho) and differs from the
// isentropic one only by terms of the order M^4, as the total pressure is written without the compressibility
// of the head.
TEST(StaticDensity, SolvesTheWeaklyCompressibleState) {
  const fluids::Air air = fluids::humid_air(293.15, 101325.0, 0.0);
  const double total_pressure = 101325.0;
  const double total_temperature = 293.15;
  for (const double flux : {0.0, 12.0, 36.0, 60.0, 100.0}) {
    const double density = static_density<double>(flux, total_pressure, total_temperature, air);
    const double head = 0.5 * flux * flux / density;
    const double temperature = total_temperature - head / (density * air.heat_capacity);
    EXPECT_NEAR(density * air.gas_constant * temperature, total_pressure - head, 1e-9 * total_pressure);

    const double gamma = air.heat_capacity / (air.heat_capacity - air.gas_constant);
    const double velocity = flux / density;
    const double mach_squared = velocity * velocity / (gamma * air.gas_constant * temperature);
    const double stagnation = air.density(total_pressure, total_temperature);
    const double isentropic = stagnation * std::pow(temperature / total_temperature, 1.0 / (gamma - 1.0));
    EXPECT_NEAR(density / isentropic, 1.0, 0.3 * mach_squared * mach_squared + 1e-12) << "G " << flux;
    EXPECT_NEAR(density / stagnation, 1.0 - 0.5 * mach_squared, 0.5 * mach_squared * mach_squared + 1e-12);
  }
}

// Plenum ends: 0.5 of the head at a sharp entrance, all of it at an exit, whichever way the air goes.
TEST(PlenumEnds, AreEntranceAndExitInBothDirections) {
  LawCase law("duct");
  law.set("length", 0.5).set("area", 0.03).set("hydraulic_diameter", 0.18);
  for (const double velocity : {-10.0, 10.0}) {
    const bool forward = velocity > 0.0;
    law.from_plenum = law.to_plenum = false;
    EXPECT_EQ(part_coefficient(law, "entrance and exit", 0.03, velocity), 0.0);
    law.from_plenum = true;
    EXPECT_NEAR(std::abs(part_coefficient(law, "entrance and exit", 0.03, velocity)), forward ? 0.5 : 1.0,
                1e-7);
    law.from_plenum = false;
    law.to_plenum = true;
    EXPECT_NEAR(std::abs(part_coefficient(law, "entrance and exit", 0.03, velocity)), forward ? 1.0 : 0.5,
                1e-7);
  }
}

// A piece that widens loses its smaller leaving head; reversed, it enters through the wide end.
TEST(PlenumEnds, TakeTheHeadOfTheEndThatStandsAtThePlenum) {
  LawCase law("diffuser");
  law.set("inlet_area", 0.02).set("outlet_area", 0.04).set("expansion_loss", 0.2);
  law.to_plenum = true;
  EXPECT_NEAR(part_coefficient(law, "entrance and exit", 0.02), 0.25, 1e-7);
  EXPECT_NEAR(std::abs(part_coefficient(law, "entrance and exit", 0.02, -10.0)), 0.5 * 0.25, 1e-7);
}

}  // namespace
}  // namespace corefeed::losses
