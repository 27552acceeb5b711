// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/network/build.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"

/// Air paths of a car whose sums are done apart from this program with a constant density.
namespace corefeed::network {
namespace {

using published::incompressible;
using published::incompressible_air;
using published::Published;
using published::relative;
using testing::Builder;
using testing::Outcome;
using testing::solved_network;

constexpr double density = 1.2;

/// K of a law dp = k Q^2 on an area.
double on_area(double quadratic, double area) { return 2.0 * quadratic * area * area / density; }

double volume(const Outcome& outcome, const std::string& element) { return outcome.flow(element) / density; }

// Energy equation along one path, (eta - Cp) q = rho/2 Q^2 sum(K_i / A_i^2): the duct analysis of Rogallo
// 1941, NACA Rep. 713 (from memory), with an inlet that recovers 0.9, a core of K 8 and a vent of K 1.5 on
// skin of Cp -0.3; computed.
TEST(PublishedAirPaths, RamInletCoreAndVent) {
  const Outcome path = solved_network(
      Builder(incompressible_air(density, 40.0))
          .add("inlet", "inlet", "", "face",
               {{"area", 0.04}, {"cp", 0.0}, {"recovery", 0.9}, {"lip_loss", 0.0}, {"internal_loss", 0.2}})
          .add("core", "core", "face", "bay",
               {{"face_area", 0.15}, {"air_loss.linear", 0.0}, {"air_loss.quadratic", 4.8}})
          .add("vent", "vent", "bay", "",
               {{"area", 0.06},
                {"cp", -0.3},
                {"discharge_coefficient", 1.0 / std::sqrt(1.5)},
                {"cross_stream", 0.0}})
          .network());
  Published("S-NW-13", "closed form, as Rogallo, NACA Rep. 713, 1941; computed",
            "ram inlet, core and vent in a row")
      .met("flow, m3/s", volume(path, "core"), 1.46285272, relative(1e-4))
      .met("V_i/V_0", volume(path, "inlet") / 0.04 / 40.0, 0.91428295, relative(1e-4));
}

// Two square-law resistances side by side share as 1/sqrt(k); a core of 3000 Q^2 Pa with a gap of 24 cm2
// effective area passes 0.5 m3/s; computed.
TEST(PublishedAirPaths, CoreWithLeakBeside) {
  const auto face_at = [](double pressure) {
    return solved_network(
        Builder(incompressible_air(density))
            .fixed("face", pressure)
            .fixed("shroud", 0.0)
            .add("core", "loss", "face", "shroud", {{"area", 0.1}, {"loss", on_area(3000.0, 0.1)}})
            .add("gap", "leak", "face", "shroud", {{"area", 0.004}, {"discharge_coefficient", 0.6}})
            .network());
  };
  const auto whole = [](const Outcome& face) { return volume(face, "core") + volume(face, "gap"); };
  // Square laws: the pressure for 0.5 m3/s follows from any other.
  const double pressure = 500.0 * std::pow(0.5 / whole(face_at(500.0)), 2);
  const Outcome face = face_at(pressure);
  EXPECT_NEAR(whole(face), 0.5, 1e-7);
  Published("S-NW-14", "closed form; computed", "core with a leak beside it")
      .met("leak, m3/s", volume(face, "gap"), 0.07254202403, relative(1e-5))
      .met("leak's share", volume(face, "gap") / whole(face), 0.1450840481, relative(1e-5))
      .met("pressure, Pa", pressure, 548.1609636, relative(1e-5));
}

Network combined_path() {
  const losses::Surroundings air = incompressible_air(density, 35.0);
  const double viscosity = air.air.viscosity(300.0);
  Builder builder(air);
  builder.add("inlet", "inlet", "", "plenum_1",
              {{"area", 0.045}, {"cp", 0.0}, {"recovery", 0.95}, {"lip_loss", 0.0}, {"internal_loss", 0.2}});
  builder.add("cooler", "core", "plenum_1", "plenum_2",
              {{"face_area", 0.06},
               {"air_loss.linear", 10.0},
               {"air_loss.quadratic", 2.5},
               {"air_loss.viscosity", viscosity}});
  builder.add("cooler_gap", "leak", "plenum_1", "plenum_2",
              {{"area", 0.003}, {"discharge_coefficient", 0.6}});
  builder.add("radiator", "core", "plenum_2", "fan_in",
              {{"face_area", 0.16},
               {"air_loss.linear", 9.0},
               {"air_loss.quadratic", 3.1},
               {"air_loss.viscosity", viscosity}});
  builder.add("radiator_gap", "leak", "plenum_2", "fan_in",
              {{"area", 0.005}, {"discharge_coefficient", 0.6}});
  builder.add("fan", "fan", "fan_in", "fan_out",
              {{"area", 0.06}, {"curve.shutoff_pressure", 120.0}, {"curve.free_flow", std::sqrt(2.0)}});
  builder.add("vent", "vent", "fan_out", "",
              {{"area", 0.06},
               {"cp", -0.2},
               {"discharge_coefficient", 1.0 / std::sqrt(1.45)},
               {"cross_stream", 0.0}});
  return builder.network();
}

/// Total pressure that an inlet of the path's recovery lets in, Pa above ambient.
double recovered_pressure() {
  auto law = incompressible("inlet", density, 35.0);
  law.set("area", 0.045).set("cp", 0.0).set("recovery", 0.95);
  return law.terms().boundary;
}

// A synthetic path of every kind of element, solved apart from this program by nested bracketing and by a
// Newton of its own, which agree to 1e-7: ram 0.95 q, oil cooler 10 U + 2.5 U^2 and radiator 9 U + 3.1 U^2
// each with a gap, a fan of 120 - 60 Q^2, a vent of K 1.45 on Cp -0.2; computed.
TEST(PublishedAirPaths, CombinedAirPath) {
  const Outcome path = solved_network(combined_path());
  const double first = path.pressure("plenum_1");
  const double second = path.pressure("plenum_2");
  const double third = path.pressure("fan_in");
  Published("S-NW-15", "solved apart from this program; computed",
            "combined path: ram inlet, oil cooler and radiator with leaks, fan, vent")
      .met("flow, m3/s", volume(path, "vent"), 0.8546286217, relative(1e-4))
      .met("behind the opening, Pa", recovered_pressure(), 698.25, relative(1e-4))
      .met("first plenum, Pa", first, 654.9676248, relative(1e-4))
      .met("second plenum, Pa", second, 78.66715696, relative(1e-4))
      .met("before the fan, Pa", third, -46.66565891, relative(1e-4))
      .met("behind the fan, Pa", path.pressure("fan_out"), 29.51093623, relative(1e-4))
      .met("cooler, m3/s", volume(path, "cooler"), 0.798843117, relative(1e-4))
      .met("cooler's leak, m3/s", volume(path, "cooler_gap"), 0.05578550463, relative(1e-4))
      .met("over the cooler, Pa", first - second, 576.3004679, relative(1e-4))
      .met("radiator, m3/s", volume(path, "radiator"), 0.8112697444, relative(1e-4))
      .met("radiator's leak, m3/s", volume(path, "radiator_gap"), 0.04335887727, relative(1e-4))
      .met("over the radiator, Pa", second - third, 125.3328159, relative(1e-4));
}

}  // namespace
}  // namespace corefeed::network
