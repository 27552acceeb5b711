// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/network/build.hpp"

/// Worked networks of textbooks, most of them of pipes: what counts is the resistance law and the joining of
/// branches. All use air of constant density, as the books do. A head h of liquid is replaced by the pressure
/// rho g h of that air: flow depends on g h and not on the density.
namespace corefeed::network {
namespace {

using testing::Builder;
using testing::Outcome;
using testing::solved_network;
using testing::stiff_air;

constexpr double pi = 3.14159265358979323846;
constexpr double gravity = 9.80665;
constexpr double foot = 0.3048;
constexpr double cubic_foot = foot * foot * foot;
constexpr double density = 1.2;

double circle(double diameter) { return pi * diameter * diameter / 4.0; }

/// K of a law dp = k Q^2 on an area.
double on_area(double quadratic, double area) { return 2.0 * quadratic * area * area / density; }

double volume(const Outcome& outcome, const std::string& element) { return outcome.flow(element) / density; }

// Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed. 2006, example 8.14: three reservoirs at
// 100, 20 and 0 ft, 1 ft pipes of f 0.02 meeting in one junction; prints 12.5, 2.26 and 10.3 ft3/s after
// rounding by hand, the unrounded solution is 12.506, 2.233 and 10.273 (the book's g, 32.2 ft/s2, differs by
// 8e-4).
// S-NW-01.
TEST(PublishedNetworks, ThreeReservoirs) {
  const double area = circle(foot);
  const auto head = [](double feet) { return density * 32.2 * foot * feet * foot; };
  const Outcome rig = solved_network(Builder(stiff_air(density, 0.0))
                                         .fixed("a", head(100.0))
                                         .fixed("b", head(20.0))
                                         .fixed("c", head(0.0))
                                         .add("from_a", "loss", "a", "tee", {{"area", area}, {"loss", 20.0}})
                                         .add("to_b", "loss", "tee", "b", {{"area", area}, {"loss", 10.0}})
                                         .add("to_c", "loss", "tee", "c", {{"area", area}, {"loss", 8.0}})
                                         .network());
  EXPECT_NEAR(volume(rig, "from_a") / cubic_foot, 12.50631417, 1e-4 * 12.5);
  EXPECT_NEAR(volume(rig, "to_b") / cubic_foot, 2.232817387, 1e-4 * 2.23);
  EXPECT_NEAR(volume(rig, "to_c") / cubic_foot, 10.27349678, 1e-4 * 10.3);
}

// Munson, Young & Okiishi, 5th ed. 2006, example 8.6: closed-return wind tunnel, 200 ft/s through 4 ft2,
// prints 0.298 psi. Corners K 0.2 at four sections, diffuser 0.6, nozzle 0.2, screens 4.0, each on its own
// velocity.
// S-NW-05: its pressure is given and its flow found; without the power.
TEST(PublishedNetworks, WindTunnelLoses) {
  constexpr double air = 0.0765 * 0.45359237 / cubic_foot;
  constexpr double flow = 800.0 * cubic_foot;
  const auto section = [](double feet_per_second) { return 800.0 / feet_per_second * foot * foot; };
  const Outcome tunnel =
      solved_network(Builder(stiff_air(air, 0.0))
                         .fixed("fan_exit", 0.2973052028 * 6894.757)
                         .fixed("fan_face", 0.0)
                         .add("corner_2", "loss", "fan_exit", "2", {{"area", section(28.6)}, {"loss", 0.2}})
                         .add("corner_3", "loss", "2", "3", {{"area", section(22.9)}, {"loss", 0.2}})
                         .add("screens", "loss", "3", "4", {{"area", section(22.9)}, {"loss", 4.0}})
                         .add("nozzle", "loss", "4", "5", {{"area", section(200.0)}, {"loss", 0.2}})
                         .add("diffuser", "loss", "5", "6", {{"area", section(200.0)}, {"loss", 0.6}})
                         .add("corner_7", "loss", "6", "7", {{"area", section(80.0)}, {"loss", 0.2}})
                         .add("corner_8", "loss", "7", "fan_face", {{"area", section(44.4)}, {"loss", 0.2}})
                         .network());
  // 0.5 % as printed; g rounded to 32.2 ft/s2 makes 0.04 % of it.
  EXPECT_NEAR(tunnel.flow("screens") / air, flow, 5e-3 * flow);
}

// Munson, Young & Okiishi, 5th ed. 2006, example 8.10: dryer vent, 0.2 in of water, 20 ft of 4 in duct with f
// 0.022, entry 0.5, four elbows 1.5, exit 1; prints 0.90 ft3/s.
// S-NW-06.
TEST(PublishedNetworks, DryerVent) {
  const double area = circle(0.1016);
  const Outcome vent =
      solved_network(Builder(stiff_air(1.1357090267, 0.0))
                         .fixed("dryer", 49.7954704)
                         .fixed("outdoors", 0.0)
                         .add("entry", "loss", "dryer", "a", {{"area", area}, {"loss", 0.5}})
                         .add("pipe", "loss", "a", "b", {{"area", area}, {"loss", 0.022 * 6.096 / 0.1016}})
                         .add("elbows", "loss", "b", "c", {{"area", area}, {"loss", 6.0}})
                         .add("exit", "loss", "c", "outdoors", {{"area", area}, {"loss", 1.0}})
                         .network());
  // The book prints two digits and 1 % covers its rounding.
  EXPECT_NEAR(vent.flow("pipe") / 1.1357090267, 0.90 * cubic_foot, 0.01 * 0.90 * cubic_foot);
}

// Douglas, Gasiorek, Swaffield & Jack, Fluid Mechanics, 5th ed. 2005, example 14.5: 0.8 m3/s of air through
// 10 m of 0.3 m round duct (K 4, transition as 6 m more) and 30 m of 0.4 by 0.2 m duct (K 10), Fanning f
// 0.008; the fan needs 1254.6 Pa.
// S-NW-10: its pressure is given and its flow found.
TEST(PublishedNetworks, DuctSystemOfTwoSections) {
  const Outcome ducts = solved_network(
      Builder(stiff_air(density, 0.0))
          .fixed("fan", 1254.6)
          .fixed("room", 0.0)
          .add("round", "loss", "fan", "step",
               {{"area", circle(0.3)}, {"loss", 4.0 + 4.0 * 0.008 * 16.0 / 0.3}})
          .add("flat", "loss", "step", "room", {{"area", 0.08}, {"loss", 10.0 + 0.008 * 30.0 / (0.08 / 1.2)}})
          .network());
  EXPECT_NEAR(volume(ducts, "flat"), 0.8, 1e-4);
}

// Douglas et al., 5th ed. 2005, example 14.3: reservoirs 10 m apart in level, 100 m pipes of 50 and 100 mm
// side by side, Fanning f 0.008, entry 0.5, exit 1; prints 0.0034 and 0.019 m3/s.
// S-NW-09.
TEST(PublishedNetworks, TwoParallelPipes) {
  const double head = density * gravity * 10.0;
  const Outcome pipes =
      solved_network(Builder(stiff_air(density, 0.0))
                         .fixed("upper", head)
                         .fixed("lower", 0.0)
                         .add("narrow", "loss", "upper", "lower", {{"area", circle(0.05)}, {"loss", 65.5}})
                         .add("wide", "loss", "upper", "lower", {{"area", circle(0.1)}, {"loss", 33.5}})
                         .network());
  // Two printed digits: half of the last one is 1.5 %.
  EXPECT_NEAR(volume(pipes, "narrow"), 0.0034, 0.015 * 0.0034);
  EXPECT_NEAR(volume(pipes, "wide"), 0.019, 0.015 * 0.019);
}

/// The pipes of White, Fluid Mechanics, examples 6.17 and 6.18: water of nu 1.02e-6 m2/s. Air of a density
/// that gives it this kinematic viscosity has the same Reynolds numbers.
class WhitePipes {
 public:
  double own_density = stiff_air(density, 0.0).air.viscosity(300.0) / 1.02e-6;
  double head = own_density * gravity * 20.3;
  Outcome solve(bool series) const {
    Builder builder(stiff_air(own_density, 0.0));
    builder.fixed("before", head).fixed("behind", 0.0);
    const auto pipe = [&](const char* name, const char* from, const char* to, double length, double diameter,
                          double roughness) {
      builder.add(name, "duct", series ? from : "before", series ? to : "behind",
                  {{"length", length},
                   {"area", circle(diameter)},
                   {"hydraulic_diameter", diameter},
                   {"roughness", roughness}});
    };
    pipe("first", "before", "a", 100.0, 0.08, 0.00024);
    pipe("second", "a", "b", 150.0, 0.06, 0.00012);
    pipe("third", "b", "behind", 80.0, 0.04, 0.0002);
    return solved_network(builder.network());
  }
};

// White, Fluid Mechanics, example 6.18: three rough pipes in parallel under 20.3 m, Colebrook friction;
// prints 62.5, 25.9 and 11.4 m3/h. Churchill's single formula stays within 1 % of Colebrook's f: half of that
// in flow, and as much for the printed digits.
// S-NW-02, without the sum; within 1 % instead of 0.5 %.
TEST(PublishedNetworks, ThreeRoughPipesInParallel) {
  const WhitePipes pipes;
  const Outcome outcome = pipes.solve(false);
  const auto hourly = [&](const char* name) { return outcome.flow(name) / pipes.own_density * 3600.0; };
  EXPECT_NEAR(hourly("first"), 62.5, 0.01 * 62.5);
  EXPECT_NEAR(hourly("second"), 25.9, 0.01 * 25.9);
  EXPECT_NEAR(hourly("third"), 11.4, 0.01 * 11.4);
}

// White, Fluid Mechanics, example 6.17: the same pipes in series; 10.22 m3/h solved with Colebrook (the
// book's 10.2 from memory).
// S-NW-03; within 1 % instead of 0.4 %.
TEST(PublishedNetworks, ThreeRoughPipesInSeries) {
  const WhitePipes pipes;
  EXPECT_NEAR(pipes.solve(true).flow("second") / pipes.own_density * 3600.0, 10.22338844, 0.01 * 10.22);
}

// Energy equation along one path, (eta - Cp) q = rho/2 Q^2 sum(K_i / A_i^2): the duct analysis of Rogallo
// 1941, NACA Rep. 713 (from memory), with an inlet that recovers 0.9, a core of K 8 and a vent of K 1.5 on
// skin of Cp -0.3.
// S-NW-13.
TEST(PublishedNetworks, RamInletCoreAndVent) {
  const Outcome path = solved_network(
      Builder(stiff_air(density, 40.0))
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
  const double sum = 0.2 / (0.04 * 0.04) + 8.0 / (0.15 * 0.15) + 1.5 / (0.06 * 0.06);
  const double expected = std::sqrt(1.2 * 1600.0 / sum);
  EXPECT_NEAR(expected, 1.46285272, 1e-8);
  EXPECT_NEAR(volume(path, "core"), expected, 1e-5 * expected);
  EXPECT_NEAR(volume(path, "inlet") / 0.04 / 40.0, 0.91428295, 1e-5);
}

// Two square-law resistances side by side share as 1/sqrt(k); a core of 3000 Q^2 Pa with a gap of 24 cm2
// effective area passes 0.5 m3/s at 548.16 Pa, 14.5 % of it through the gap.
// S-NW-14.
TEST(PublishedNetworks, CoreWithLeakBeside) {
  const Outcome face = solved_network(
      Builder(stiff_air(density, 0.0))
          .fixed("face", 548.1609636)
          .fixed("shroud", 0.0)
          .add("core", "loss", "face", "shroud", {{"area", 0.1}, {"loss", on_area(3000.0, 0.1)}})
          .add("gap", "leak", "face", "shroud", {{"area", 0.004}, {"discharge_coefficient", 0.6}})
          .network());
  EXPECT_NEAR(volume(face, "gap"), 0.07254202403, 1e-5 * 0.0725);
  EXPECT_NEAR(volume(face, "gap") + volume(face, "core"), 0.5, 1e-5 * 0.5);
}

Network combined_path() {
  const losses::Surroundings air = stiff_air(density, 35.0);
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

// A synthetic path of every kind of element, solved apart from this program by nested bracketing and by a
// Newton of its own, which agree to 1e-7: ram 0.95 q, oil cooler 10 U + 2.5 U^2 and radiator 9 U + 3.1 U^2
// each with a gap, a fan of 120 - 60 Q^2, a vent of K 1.45 on Cp -0.2.
// S-NW-15.
TEST(PublishedNetworks, CombinedAirPath) {
  const Outcome path = solved_network(combined_path());
  const auto near = [](double found, double expected) {
    EXPECT_NEAR(found, expected, 1e-4 * std::abs(expected));
  };
  near(volume(path, "vent"), 0.8546286217);
  near(path.pressure("plenum_1"), 654.9676248);
  near(path.pressure("plenum_2"), 78.66715696);
  near(path.pressure("fan_in"), -46.66565891);
  near(path.pressure("fan_out"), 29.51093623);
  near(volume(path, "cooler"), 0.798843117);
  near(volume(path, "cooler_gap"), 0.05578550463);
  near(volume(path, "radiator"), 0.8112697444);
  near(volume(path, "radiator_gap"), 0.04335887727);
}

}  // namespace
}  // namespace corefeed::network
