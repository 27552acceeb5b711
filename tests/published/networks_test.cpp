// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "tests/network/build.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"

/// Worked networks of textbooks, most of them of pipes: what counts is the resistance law and the joining of
/// branches. All use a medium of constant density, as the books do. Where the density does not matter a head
/// h of liquid is the pressure rho g h of air: flow depends on g h alone. The examples were read in public
/// transcriptions, their arithmetic redone apart from this program.
namespace corefeed::network {
namespace {

using published::incompressible_air;
using published::Published;
using published::relative;
using testing::Builder;
using testing::Outcome;
using testing::solved_network;

constexpr double pi = 3.14159265358979323846;
constexpr double gravity = 9.81;
constexpr double foot = 0.3048;
constexpr double cubic_foot = foot * foot * foot;
constexpr double foot_gravity = 32.2 * foot;  // m/s2, as the books in feet have it
constexpr double pound_force = 4.4482216152605;
constexpr double psi = 6894.757293;
constexpr double density = 1.2;

double circle(double diameter) { return pi * diameter * diameter / 4.0; }

double volume(const Outcome& outcome, const std::string& element) { return outcome.flow(element) / density; }

/// Pressure that drives this mass flow through `element` of a network of square laws: scaled from a first
/// solve, proved by a second.
double pressure_for(double flow, const std::string& element, const std::function<Network(double)>& at) {
  const double first = 1000.0;
  const double ratio = flow / solved_network(at(first)).flow(element);
  const double pressure = first * ratio * ratio;
  // Losses of slow air are rounded off by 5e-6.
  EXPECT_NEAR(solved_network(at(pressure)).flow(element) / flow, 1.0, 1e-5);
  return pressure;
}

// Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed. 2006, example 8.14: reservoirs at 100, 20
// and 0 ft, 1 ft pipes of f 0.02 meeting in one junction; prints 12.5, 2.26 and 10.3 ft3/s after rounding by
// hand, the unrounded solution stands here.
TEST(PublishedNetworks, ThreeReservoirs) {
  const double area = circle(foot);
  const auto head = [](double feet) { return density * foot_gravity * feet * foot; };
  const Outcome rig = solved_network(Builder(incompressible_air(density))
                                         .fixed("a", head(100.0))
                                         .fixed("b", head(20.0))
                                         .fixed("c", head(0.0))
                                         .add("from_a", "loss", "a", "tee", {{"area", area}, {"loss", 20.0}})
                                         .add("to_b", "loss", "tee", "b", {{"area", area}, {"loss", 10.0}})
                                         .add("to_c", "loss", "tee", "c", {{"area", area}, {"loss", 8.0}})
                                         .network());
  Published("S-NW-01", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.14",
            "three reservoirs, one junction")
      .met("from A, ft3/s", volume(rig, "from_a") / cubic_foot, 12.50631417, relative(0.002))
      .met("to B, ft3/s", volume(rig, "to_b") / cubic_foot, 2.232817387, relative(0.002))
      .met("to C, ft3/s", volume(rig, "to_c") / cubic_foot, 10.27349678, relative(0.002));
}

// Hardy Cross net with two sources, four demands and two loops, h = K Q|Q| in feet and ft3/s: K, demands and
// the converged flows of a public lecture; the 10 ft between the sources follow from its corrections. Demands
// are supplies that take out.
TEST(PublishedNetworks, TwoSourcesFourDemandsTwoLoops) {
  const auto pressure = [](double feet) { return density * foot_gravity * feet * foot; };
  const auto coefficient = [](double k) {
    return 2.0 * foot_gravity * foot * k / (cubic_foot * cubic_foot);  // on 1 m2
  };
  Builder builder(incompressible_air(density));
  builder.fixed("a", pressure(10.0)).fixed("b", pressure(0.0));
  struct Pipe {
    const char *name, *from, *to;
    double k, flow;
  };
  constexpr Pipe pipes[] = {{"A1", "a", "1", 0.38, 6.2899}, {"12", "1", "2", 2.89, 2.1287},
                            {"14", "1", "4", 2.53, 2.1612}, {"42", "4", "2", 12.13, 0.32467},
                            {"32", "3", "2", 2.17, 1.5466}, {"34", "3", "4", 2.89, 1.1635},
                            {"B3", "b", "3", 0.94, 3.7101}};
  for (const Pipe& pipe : pipes) {
    builder.add(pipe.name, "loss", pipe.from, pipe.to, {{"area", 1.0}, {"loss", coefficient(pipe.k)}});
  }
  constexpr std::pair<const char*, double> demands[] = {{"1", 2.0}, {"2", 4.0}, {"3", 1.0}, {"4", 3.0}};
  for (const auto& [node, flow] : demands) {
    builder.add(std::string("demand_") + node, "supply", "", node, {{"flow", -density * cubic_foot * flow}});
  }
  const Outcome net = solved_network(builder.network());
  Published row("S-NW-04", "University lecture CE3620 Water Resources Engineering, lecture 9, 2013",
                "seven pipes of h = K Q|Q|");
  for (const Pipe& pipe : pipes) {
    row.met(std::string("in pipe ") + pipe.name + ", ft3/s", volume(net, pipe.name) / cubic_foot, pipe.flow,
            relative(0.002));
  }
}

/// The pipes of White, Fluid Mechanics, examples 6.17 and 6.18: water of nu 1.02e-6 m2/s. Air of a density
/// that gives it this kinematic viscosity has the same Reynolds numbers.
class WhitePipes {
 public:
  double own_density = incompressible_air(density).air.viscosity(300.0) / 1.02e-6;
  double head = own_density * gravity * 20.3;
  Outcome solve(bool series) const {
    Builder builder(incompressible_air(own_density));
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
  double hourly(const Outcome& outcome, const char* name) const {
    return outcome.flow(name) / own_density * 3600.0;
  }
};

// White, Fluid Mechanics, example 6.18: three rough pipes in parallel under 20.3 m, Colebrook friction
// (worked solution read on a public page).
TEST(PublishedNetworks, ThreeRoughPipesInParallel) {
  const WhitePipes pipes;
  const Outcome outcome = pipes.solve(false);
  const double first = pipes.hourly(outcome, "first");
  const double second = pipes.hourly(outcome, "second");
  const double third = pipes.hourly(outcome, "third");
  Published("S-NW-02", "White, Fluid Mechanics, Example 6.18", "three rough pipes in parallel")
      .met("first, m3/h", first, 62.5, relative(0.005))
      .met("second, m3/h", second, 25.9, relative(0.005))
      .met("third, m3/h", third, 11.4, relative(0.005))
      .met("all, m3/h", first + second + third, 99.8, relative(0.005));
}

// White, Fluid Mechanics, example 6.17: the same pipes in series; solved with Colebrook (the book's 10.2 from
// memory).
TEST(PublishedNetworks, ThreeRoughPipesInSeries) {
  const WhitePipes pipes;
  Published("S-NW-03", "White, Fluid Mechanics, Example 6.17; computed", "the same pipes in series")
      .not_met("flow, m3/h", pipes.hourly(pipes.solve(true), "second"), 10.22338844, relative(0.004),
               "solved with Colebrook's equation; Churchill's gives 0.8 % more friction in the narrowest "
               "pipe, which "
               "takes most of the pressure, and so 0.44 % less flow. The book's 10.2 is met.");
}

// Munson, Young & Okiishi, 5th ed. 2006, example 8.6: closed-return wind tunnel, 200 ft/s through 4 ft2.
// Corners K 0.2 at four sections, diffuser 0.6, nozzle 0.2, screens 4.0, each on its own velocity.
TEST(PublishedNetworks, WindTunnelLoses) {
  constexpr double weight = 0.0765 * pound_force / cubic_foot;  // N/m3
  constexpr double air = weight / foot_gravity;
  constexpr double flow = 800.0 * cubic_foot;
  const auto section = [](double feet_per_second) { return 800.0 / feet_per_second * foot * foot; };
  const auto tunnel = [&](double pressure) {
    return Builder(incompressible_air(air))
        .fixed("fan_exit", pressure)
        .fixed("fan_face", 0.0)
        .add("corner_2", "loss", "fan_exit", "2", {{"area", section(28.6)}, {"loss", 0.2}})
        .add("corner_3", "loss", "2", "3", {{"area", section(22.9)}, {"loss", 0.2}})
        .add("screens", "loss", "3", "4", {{"area", section(22.9)}, {"loss", 4.0}})
        .add("nozzle", "loss", "4", "5", {{"area", section(200.0)}, {"loss", 0.2}})
        .add("diffuser", "loss", "5", "6", {{"area", section(200.0)}, {"loss", 0.6}})
        .add("corner_7", "loss", "6", "7", {{"area", section(80.0)}, {"loss", 0.2}})
        .add("corner_8", "loss", "7", "fan_face", {{"area", section(44.4)}, {"loss", 0.2}})
        .network();
  };
  const double pressure = pressure_for(flow * air, "screens", tunnel);
  Published("S-NW-05", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.6",
            "closed-return wind tunnel")
      .met("head lost, ft", pressure / weight / foot, 559.633323, relative(0.005))
      .met("fan pressure, psi", pressure / psi, 0.2973052028, relative(0.005))
      .met("power, hp", pressure * flow / 745.69987, 62.27192612, relative(0.005));
}

// Munson, Young & Okiishi, 5th ed. 2006, example 8.10: dryer vent, 0.2 in of water, 20 ft of 4 in duct with f
// 0.022, entry 0.5, four elbows 1.5, exit 1; prints 0.90 ft3/s.
TEST(PublishedNetworks, DryerVent) {
  const double area = circle(0.1016);
  constexpr double air = 1.1357090267;
  const Outcome vent =
      solved_network(Builder(incompressible_air(air))
                         .fixed("dryer", 49.7954704)
                         .fixed("outdoors", 0.0)
                         .add("entry", "loss", "dryer", "a", {{"area", area}, {"loss", 0.5}})
                         .add("pipe", "loss", "a", "b", {{"area", area}, {"loss", 0.022 * 6.096 / 0.1016}})
                         .add("elbows", "loss", "b", "c", {{"area", area}, {"loss", 6.0}})
                         .add("exit", "loss", "c", "outdoors", {{"area", area}, {"loss", 1.0}})
                         .network());
  Published("S-NW-06", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.10",
            "dryer vent")
      .met("flow, m3/s", vent.flow("pipe") / air, 0.02548512, relative(0.01));
}

// Munson, Young & Okiishi, 5th ed. 2006, example 8.8: copper line up 20 ft to a faucet of 0.5 in, f 0.0215,
// four elbows of 1.5, valve 10, faucet 2 on the pipe's velocity. The network gives the losses at the flow;
// the height and the heads at both ends are the book's.
TEST(PublishedNetworks, CopperLineWithFittings) {
  constexpr double water = 1.94 * 14.593903 / cubic_foot;
  constexpr double flow = 0.0267 * cubic_foot;
  const double area = circle(0.0625 * foot);
  const auto losses = [&](double fittings) {
    return pressure_for(flow * water, "pipe", [&](double pressure) {
      return Builder(incompressible_air(water))
          .fixed("main", pressure)
          .fixed("room", 0.0)
          .add("pipe", "loss", "main", "end", {{"area", area}, {"loss", 0.0215 * 60.0 / 0.0625}})
          .add("fittings", "loss", "end", "room", {{"area", area}, {"loss", fittings}})
          .network();
    });
  };
  const auto head = [&](double section) { return 0.5 * water * std::pow(flow / section, 2); };
  const double free = water * foot_gravity * 20.0 * foot + head(circle(foot / 24.0)) - head(area);
  Published("S-NW-07", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.8",
            "copper line with fittings, pressure at its start")
      .met("without losses, psi", free / psi, 10.75, relative(0.005))
      .met("with friction, psi", (free + losses(0.0)) / psi, 21.3, relative(0.005))
      .met("with fittings too, psi", (free + losses(4.0 * 1.5 + 10.0 + 2.0)) / psi, 30.5, relative(0.005));
}

// Douglas, Gasiorek, Swaffield & Jack, Fluid Mechanics, 5th ed. 2005, example 14.1: a siphon of 0.1 m, 5 m up
// to its crest 1.5 m above the tank and 10 m down to 4 m below the tank, Fanning f 0.08.
TEST(PublishedNetworks, Siphon) {
  constexpr double water = 1000.0;
  const double area = circle(0.1);
  const Outcome line = solved_network(
      Builder(incompressible_air(water))
          .fixed("tank", water * gravity * 4.0)
          .fixed("outlet", 0.0)
          .add("entry", "loss", "tank", "a", {{"area", area}, {"loss", 0.5}})
          .add("rise", "loss", "a", "crest", {{"area", area}, {"loss", 4.0 * 0.08 * 5.0 / 0.1}})
          .add("fall", "loss", "crest", "b", {{"area", area}, {"loss", 4.0 * 0.08 * 10.0 / 0.1}})
          .add("exit", "loss", "b", "outlet", {{"area", area}, {"loss", 1.0}})
          .network());
  const double velocity = line.flow("fall") / water / area;
  // The network's pressures are above the outlet's level; the crest is 5.5 m over it.
  const double crest = line.pressure("crest") - water * gravity * 5.5 - 0.5 * water * velocity * velocity;
  Published("S-NW-08", "Douglas, Gasiorek, Swaffield & Jack, Fluid Mechanics, 5th ed., Example 14.1",
            "siphon, static pressure at the crest")
      .met("velocity, m/s", velocity, 1.26, relative(0.005))
      .met("pressure at the crest, Pa", crest, -28610.0, relative(0.005));
}

// Douglas et al., 5th ed. 2005, example 14.3: reservoirs 10 m apart in level, 100 m pipes of 50 and 100 mm
// side by side, Fanning f 0.008, entry 0.5, exit 1; two printed digits.
TEST(PublishedNetworks, TwoParallelPipes) {
  const Outcome pipes =
      solved_network(Builder(incompressible_air(density))
                         .fixed("upper", density * gravity * 10.0)
                         .fixed("lower", 0.0)
                         .add("narrow", "loss", "upper", "lower", {{"area", circle(0.05)}, {"loss", 65.5}})
                         .add("wide", "loss", "upper", "lower", {{"area", circle(0.1)}, {"loss", 33.5}})
                         .network());
  const double narrow = volume(pipes, "narrow");
  const double wide = volume(pipes, "wide");
  Published("S-NW-09", "Douglas, Gasiorek, Swaffield & Jack, Fluid Mechanics, 5th ed., Example 14.3",
            "two parallel pipes between reservoirs")
      .met("narrow, m3/s", narrow, 0.0034, relative(0.015))
      .met("wide, m3/s", wide, 0.019, relative(0.015))
      .met("both, m3/s", narrow + wide, 0.0224, relative(0.015));
}

// Douglas et al., 5th ed. 2005, example 14.5: 0.8 m3/s of air through 10 m of 0.3 m round duct (K 4,
// transition as 6 m more) and 30 m of 0.4 by 0.2 m duct (K 10), Fanning f 0.008.
TEST(PublishedNetworks, DuctSystemOfTwoSections) {
  const auto ducts = [](double pressure) {
    return Builder(incompressible_air(density))
        .fixed("fan", pressure)
        .fixed("room", 0.0)
        .add("round", "loss", "fan", "step",
             {{"area", circle(0.3)}, {"loss", 4.0 + 4.0 * 0.008 * 16.0 / 0.3}})
        .add("flat", "loss", "step", "room", {{"area", 0.08}, {"loss", 10.0 + 0.008 * 30.0 / (0.08 / 1.2)}})
        .network();
  };
  Published("S-NW-10", "Douglas, Gasiorek, Swaffield & Jack, Fluid Mechanics, 5th ed., Example 14.5",
            "air ducts of two sections, pressure of the fan")
      .met("pressure, Pa", pressure_for(0.8 * density, "flat", ducts), 1254.580126, relative(0.002));
}

// Fox & McDonald, Introduction to Fluid Mechanics, 5th ed. 1998, example 8.7: stand-pipe of 80 ft, 680 ft of
// 4 in pipe of f 0.031, gate valve of 8 diameters, leaving head.
TEST(PublishedNetworks, StandPipe) {
  const double diameter = foot / 3.0;
  const double area = circle(diameter);
  const Outcome pipe =
      solved_network(Builder(incompressible_air(density))
                         .fixed("top", density * foot_gravity * 80.0 * foot)
                         .fixed("outlet", 0.0)
                         .add("pipe", "loss", "top", "a", {{"area", area}, {"loss", 0.031 * 680.0 * 3.0}})
                         .add("valve", "loss", "a", "b", {{"area", area}, {"loss", 0.031 * 8.0}})
                         .add("exit", "loss", "b", "outlet", {{"area", area}, {"loss", 1.0}})
                         .network());
  constexpr double gallon_a_minute = 3.785411784e-3 / 60.0;
  Published("S-NW-11", "Fox & McDonald, Introduction to Fluid Mechanics, 5th ed., Example 8.7",
            "stand-pipe and pipe with a gate valve")
      .met("flow, gpm", volume(pipe, "pipe") / gallon_a_minute, 350.0, relative(0.005));
}

/// Pumps of 365 - 20 Q^2 ft (Q in ft3/s) over a lift of 290 ft and two pipes, which a problem of Daugherty's
/// and Franzini's kind states.
class PumpedLine {
 public:
  static double head(double feet) { return density * foot_gravity * feet * foot; }
  static void add_pump(Builder& builder, const char* name, const char* from, const char* to) {
    builder.add(name, "fan", from, to,
                {{"area", 0.05},
                 {"curve.shutoff_pressure", head(365.0)},
                 {"curve.free_flow", std::sqrt(365.0 / 20.0) * cubic_foot}});
  }
  static Builder pipes() {
    Builder builder(incompressible_air(density));
    builder.fixed("lower", 0.0).fixed("upper", head(290.0));
    builder.add("suction", "loss", "lower", "in",
                {{"area", circle(10.0 / 12.0 * foot)}, {"loss", 0.022 * 90.0 / (10.0 / 12.0)}});
    builder.add("discharge", "loss", "out", "upper",
                {{"area", circle(8.0 / 12.0 * foot)}, {"loss", 0.028 * 4900.0 / (8.0 / 12.0)}});
    return builder;
  }
  static double flow(const Outcome& line) { return volume(line, "discharge") / cubic_foot; }
};

TEST(PublishedNetworks, PumpsInARowAndSideBySide) {
  Builder one = PumpedLine::pipes();
  PumpedLine::add_pump(one, "pump", "in", "out");
  const Outcome single = solved_network(one.network());
  Builder row = PumpedLine::pipes();
  PumpedLine::add_pump(row, "first", "in", "between");
  PumpedLine::add_pump(row, "second", "between", "out");
  Builder pair = PumpedLine::pipes();
  PumpedLine::add_pump(pair, "left", "in", "out");
  PumpedLine::add_pump(pair, "right", "in", "out");
  const double lift = (single.pressure("out") - single.pressure("in")) / PumpedLine::head(1.0);
  Published("S-NW-12", "problem of the Daugherty & Franzini type; computed",
            "pump with static lift and two pipes, then two pumps")
      .met("one: flow, ft3/s", PumpedLine::flow(single), 1.272043758, relative(0.002))
      .met("one: head, ft", lift, 332.6380935, relative(0.002))
      .met("in a row: flow, ft3/s", PumpedLine::flow(solved_network(row.network())), 2.575154452,
           relative(0.002))
      .met("side by side: flow, ft3/s", PumpedLine::flow(solved_network(pair.network())), 1.546701022,
           relative(0.002));
}

/// Oil of 840 kg/m3 and 2.5e-5 m2/s through 60 tubes of 3 mm in one or two passes and a line of 19 mm, from a
/// pump of 3e5 Pa - 8e11 Q^2. The medium has the oil's kinematic viscosity; pressures scale with density.
struct OilCircuit {
  explicit OilCircuit(int passes)
      : medium(incompressible_air(density).air.viscosity(300.0) / 2.5e-5), scale(medium / 840.0) {
    const double tubes = 60.0 / passes;
    solved = solved_network(
        Builder(incompressible_air(medium))
            .fixed("tank", 0.0)
            .fixed("back", 0.0)
            .add("pump", "fan", "tank", "out",
                 {{"area", circle(0.019)},
                  {"curve.shutoff_pressure", 3e5 * scale},
                  {"curve.free_flow", std::sqrt(3e5 / 8e11)},
                  {"curve.density", medium}})
            .add("core", "duct", "out", "line",
                 {{"length", 0.25 * passes},
                  {"area", tubes * circle(0.003)},
                  {"hydraulic_diameter", 0.003},
                  {"roughness", 0.0}})
            .add(
                "line_home", "duct", "line", "back",
                {{"length", 2.0}, {"area", circle(0.019)}, {"hydraulic_diameter", 0.019}, {"roughness", 0.0}})
            .network());
    flow = solved.flow("core") / medium;
    tube_reynolds = flow / (tubes * circle(0.003)) * 0.003 / 2.5e-5;
    line_reynolds = flow / circle(0.019) * 0.019 / 2.5e-5;
  }
  double pressure(const char* node) const { return solved.pressure(node) / scale; }

  double medium, scale;
  Outcome solved{};
  double flow = 0, tube_reynolds = 0, line_reynolds = 0;
};

// Closed form of Hagen and Poiseuille; computed.
TEST(PublishedNetworks, LaminarOilCircuit) {
  struct Row {
    const char* id;
    int passes;
    double flow, pump, core, line, tube_reynolds, line_reynolds;
  };
  for (const Row& row :
       {Row{"S-NW-16", 1, 0.0005776979643, 33012.04967, 25426.34692, 7585.702751, 163.4550873, 1548.52188},
        Row{"S-NW-17", 2, 0.0005054432772, 95621.67486, 88984.74225, 6636.93261, 286.0223858, 1354.84288}}) {
    const OilCircuit oil(row.passes);
    Published(row.id, "closed form, Hagen-Poiseuille; computed",
              "laminar oil circuit, passes of the core: " + std::to_string(row.passes))
        .met("flow, m3/s", oil.flow, row.flow, relative(1e-4))
        .met("pump, Pa", oil.pressure("out"), row.pump, relative(1e-4))
        .met("core, Pa", oil.pressure("out") - oil.pressure("line"), row.core, relative(1e-4))
        .met("line, Pa", oil.pressure("line"), row.line, relative(1e-4))
        .met("Re in a tube", oil.tube_reynolds, row.tube_reynolds, relative(1e-4))
        .met("Re in the line", oil.line_reynolds, row.line_reynolds, relative(1e-4));
  }
}

}  // namespace
}  // namespace corefeed::network
