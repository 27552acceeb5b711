// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cooling/case_parts.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"

/// Fans on systems: the fan laws, power, several fans, ram. The books' examples were read in public
/// transcriptions.
namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using published::incompressible_air;
using published::Published;
using published::relative;
using testing::case_of;
using testing::value;

constexpr double density = 1.2;
constexpr double cubic_foot_a_minute = 0.3048 * 0.3048 * 0.3048 / 60.0;
constexpr double inch_of_water = 249.0889;
constexpr double horsepower = 745.69987;
constexpr double turns_a_minute = 0.1047197551;

/// Parabola through a working point (flow, pressure) whose free flow is `ratio` times that flow.
struct Curve {
  double shutoff;
  double free_flow;
};
Curve through(double flow, double pressure, double ratio) {
  return {pressure / (1.0 - 1.0 / (ratio * ratio)), ratio * flow};
}

double on_area(double quadratic, double area) { return 2.0 * quadratic * area * area / density; }

Solution solved(Builder& builder) {
  Solution solution = solve(case_of(builder.network()));
  EXPECT_TRUE(solution.converged) << solution.explanation;
  return solution;
}

// Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer, 2009, example 17.2: 12200 cfm at 5
// in of water, 9.25 hp and 1694 rpm; at 2100 rpm the same system (Q ~ n, p ~ n^2, P ~ n^3).
TEST(PublishedFans, FanLawsOfSpeed) {
  const double flow = 12200.0 * cubic_foot_a_minute;
  const double pressure = 5.0 * inch_of_water;
  const Curve curve = through(flow, pressure, 2.0);
  const auto at = [&](double rpm) {
    Builder builder(incompressible_air(density));
    builder.fixed("room", 0.0).fixed("outlet", 0.0);
    builder.add("fan", "fan", "room", "box",
                {{"area", 0.5},
                 {"curve.shutoff_pressure", curve.shutoff},
                 {"curve.free_flow", curve.free_flow},
                 {"curve.shaft_speed", 1694.0 * turns_a_minute},
                 {"shaft_speed", rpm * turns_a_minute},
                 {"efficiency", flow * pressure / (9.25 * horsepower)}});
    builder.add("system", "loss", "box", "outlet",
                {{"area", 0.5}, {"loss", on_area(pressure / (flow * flow), 0.5)}});
    return solved(builder);
  };
  const Solution slow = at(1694.0);
  EXPECT_NEAR(value(slow, "fan.flow") / density / cubic_foot_a_minute, 12200.0, 0.1);
  EXPECT_NEAR(value(slow, "fan.power") / horsepower, 9.25, 1e-4);
  const Solution fast = at(2100.0);
  Published("S-FN-01", "Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer, Example 17.2",
            "fan from 1694 to 2100 rpm")
      .met("flow, cfm", value(fast, "fan.flow") / density / cubic_foot_a_minute, 15124.0, relative(0.002))
      .met("pressure, inH2O", value(fast, "box.total_pressure") / inch_of_water, 7.68, relative(0.002))
      .met("power, hp", value(fast, "fan.power") / horsepower, 17.62, relative(0.002));
}

// Abulencia & Theodore 2009, example 17.3: 6500 cfm at 10.8 in of water and an efficiency of 0.63.
TEST(PublishedFans, ShaftPower) {
  const double pressure = 10.8 * inch_of_water;
  const Curve curve = through(6500.0 * cubic_foot_a_minute, pressure, 1.5);
  Builder builder(incompressible_air(density));
  builder.fixed("room", 0.0).fixed("outlet", pressure);
  builder.add("fan", "fan", "room", "outlet",
              {{"area", 0.3},
               {"curve.shutoff_pressure", curve.shutoff},
               {"curve.free_flow", curve.free_flow},
               {"efficiency", 0.63}});
  Published("S-FN-02", "Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer, Example 17.3",
            "shaft power of a fan")
      .met("power, hp", value(solved(builder), "fan.power") / horsepower, 17.55, relative(0.003));
}

/// The same pump, a parabola with 25 ft at shut-off and 21.9 ft at 300 gpm at 1170 rpm, at 1750 rpm. Any unit
/// of flow and head serves a similarity law: thousandths of a m3/s and pascals here.
Builder pump_at_speed(double outlet) {
  Builder builder(incompressible_air(density));
  builder.fixed("sump", 0.0).fixed("tank", outlet);
  builder.add("pump", "fan", "sump", "box",
              {{"area", 0.05},
               {"curve.shutoff_pressure", 25.0},
               {"curve.free_flow", 0.300 / std::sqrt(1.0 - 21.9 / 25.0)},
               {"curve.shaft_speed", 1170.0},
               {"shaft_speed", 1750.0}});
  return builder;
}

// Fox & McDonald, Introduction to Fluid Mechanics, 5th ed. 1998, example 10.7.
TEST(PublishedFans, AffinityOfAParabola) {
  Builder at_work = pump_at_speed(0.0);
  at_work.add("pipe", "loss", "box", "tank", {{"area", 0.05}, {"loss", on_area(21.9 / 0.09, 0.05)}});
  const Solution faster = solved(at_work);
  // Almost closed: a pipe of a millionth of the flow shows the pressure at shut-off.
  Builder closed = pump_at_speed(0.0);
  closed.add("pipe", "loss", "box", "tank", {{"area", 0.05}, {"loss", on_area(1e9, 0.05)}});
  Published("S-FN-03", "Fox & McDonald, Introduction to Fluid Mechanics, 5th ed., Example 10.7",
            "pump from 1170 to 1750 rpm")
      .met("flow, gpm", value(faster, "pump.flow") / density * 1000.0, 448.7, relative(0.002))
      .met("head, ft", value(faster, "box.total_pressure"), 49.0, relative(0.002))
      .met("head at shut-off, ft", value(solved(closed), "box.total_pressure"), 55.9, relative(0.002));
}

// Cengel & Cimbala, Fluid Mechanics, 2nd ed. 2010, example 14-2, p. 770: water.
TEST(PublishedFans, PowerOfAPump) {
  constexpr double water = 998.0;
  const double pressure = water * 9.81 * 21.9;
  const Curve curve = through(0.0233, pressure, 2.0);
  Builder builder(incompressible_air(water));
  builder.fixed("sump", 0.0).fixed("tank", pressure);
  builder.add("pump", "fan", "sump", "tank",
              {{"area", 0.01},
               {"curve.shutoff_pressure", curve.shutoff},
               {"curve.free_flow", curve.free_flow},
               {"curve.density", water},
               {"efficiency", 0.765}});
  Published("S-FN-04", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Example 14-2", "power of a pump")
      .met("power, W", value(solved(builder), "pump.power"), 6530.0, relative(0.003));
}

/// Fans of 400 - 250 Q^2 Pa with a system of 600 Q^2 between `ram` and still air; narrow sections, so that
/// the rounding at slow air is out of the way.
Builder system_with_ram(double ram) {
  Builder builder(incompressible_air(density));
  builder.fixed("front", ram).fixed("rear", 0.0);
  builder.add("system", "loss", "front", "box", {{"area", 0.02}, {"loss", on_area(600.0, 0.02)}});
  return builder;
}

void add_fan(Builder& builder, const char* name, const char* from, const char* to) {
  builder.add(
      name, "fan", from, to,
      {{"area", 0.02}, {"curve.shutoff_pressure", 400.0}, {"curve.free_flow", std::sqrt(400.0 / 250.0)}});
}

// Closed form: k Q^2 = n (400 - 250 (Q/m)^2) for n fans in a row and m side by side; computed.
TEST(PublishedFans, OneTwoInARowAndTwoSideBySide) {
  Builder one = system_with_ram(0.0);
  add_fan(one, "fan", "box", "rear");
  const Solution single = solved(one);

  Builder row = system_with_ram(0.0);
  add_fan(row, "first", "box", "between");
  add_fan(row, "second", "between", "rear");

  Builder pair = system_with_ram(0.0);
  add_fan(pair, "left", "box", "rear");
  add_fan(pair, "right", "box", "rear");
  const Solution beside = solved(pair);
  EXPECT_NEAR(value(beside, "left.flow"), value(beside, "right.flow"), 1e-11);

  Published("S-FN-05", "closed form; computed", "one fan of 400 - 250 Q^2 Pa, two in a row, two side by side")
      .met("one: flow, m3/s", value(single, "system.flow") / density, 0.6859943406, relative(1e-6))
      .met("in a row: flow, m3/s", value(solved(row), "system.flow") / density, 0.8528028654, relative(1e-6))
      .met("side by side: flow, m3/s", value(beside, "system.flow") / density, 0.7770286899, relative(1e-6))
      .met("one: rise, Pa", -value(single, "fan.pressure_loss"), 282.3529412, relative(1e-6));
}

// Closed form: ram + 400 - 250 Q^2 = 600 Q^2. At 900 Pa the fan only just lifts; beyond its free flow it
// becomes an obstruction; computed.
TEST(PublishedFans, RamHelpsUntilTheFanIsInTheWay) {
  const auto with_ram = [](double ram) {
    Builder builder = system_with_ram(ram);
    add_fan(builder, "fan", "box", "rear");
    return solved(builder);
  };
  const Solution little = with_ram(250.0);
  const Solution much = with_ram(900.0);
  Published("S-FN-06", "closed form; computed", "fan of 400 - 250 Q^2 Pa with 250 and 900 Pa of ram")
      .met("at 250 Pa: flow, m3/s", value(little, "fan.flow") / density, 0.8744746322, relative(1e-6))
      .met("at 900 Pa: flow, m3/s", value(much, "fan.flow") / density, 1.236693885, relative(1e-6))
      .met("at 250 Pa: rise, Pa", -value(little, "fan.pressure_loss"), 208.8235294, relative(1e-6))
      .met("at 900 Pa: rise, Pa", -value(much, "fan.pressure_loss"), 17.64705882, relative(1e-6));
  EXPECT_GT(value(with_ram(2000.0), "fan.pressure_loss"), 0.0);
}

}  // namespace
}  // namespace corefeed::cooling
