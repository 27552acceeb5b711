// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cooling/case_parts.hpp"

/// Fans on systems: the fan laws, power, several fans, ram.
namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using network::testing::stiff_air;
using testing::case_of;
using testing::value;

constexpr double density = 1.2;
constexpr double cubic_foot_a_minute = 0.3048 * 0.3048 * 0.3048 / 60.0;
constexpr double inch_of_water = 249.0889;
constexpr double horsepower = 745.69987;

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
// in of water, 9.25 hp and 1694 rpm; at 2100 rpm the same system takes 15124 cfm at 7.68 in, 17.62 hp (Q ~ n,
// p ~ n^2, P ~ n^3).
// S-FN-01.
TEST(PublishedFans, FanLawsOfSpeed) {
  const double flow = 12200.0 * cubic_foot_a_minute;
  const double pressure = 5.0 * inch_of_water;
  const Curve curve = through(flow, pressure, 2.0);
  const auto at = [&](double rpm) {
    Builder builder(stiff_air(density, 0.0));
    builder.fixed("room", 0.0).fixed("outlet", 0.0);
    builder.add("fan", "fan", "room", "box",
                {{"area", 0.5},
                 {"curve.shutoff_pressure", curve.shutoff},
                 {"curve.free_flow", curve.free_flow},
                 {"curve.shaft_speed", 1694.0 * 0.1047197551},
                 {"shaft_speed", rpm * 0.1047197551},
                 {"efficiency", flow * pressure / (9.25 * horsepower)}});
    builder.add("system", "loss", "box", "outlet",
                {{"area", 0.5}, {"loss", on_area(pressure / (flow * flow), 0.5)}});
    return solved(builder);
  };
  const Solution slow = at(1694.0);
  EXPECT_NEAR(value(slow, "fan.flow") / density / cubic_foot_a_minute, 12200.0, 0.1);
  EXPECT_NEAR(value(slow, "fan.power") / horsepower, 9.25, 1e-4);
  const Solution fast = at(2100.0);
  EXPECT_NEAR(value(fast, "fan.flow") / density / cubic_foot_a_minute, 15124.0, 0.002 * 15124.0);
  EXPECT_NEAR(value(fast, "box.total_pressure") / inch_of_water, 7.68, 0.002 * 7.68);
  EXPECT_NEAR(value(fast, "fan.power") / horsepower, 17.62, 0.002 * 17.62);
}

// Abulencia & Theodore 2009, example 17.3: 6500 cfm at 10.8 in of water and an efficiency of 0.63 take 17.55
// hp.
// S-FN-02.
TEST(PublishedFans, ShaftPower) {
  const double pressure = 10.8 * inch_of_water;
  const Curve curve = through(6500.0 * cubic_foot_a_minute, pressure, 1.5);
  Builder builder(stiff_air(density, 0.0));
  builder.fixed("room", 0.0).fixed("outlet", pressure);
  builder.add("fan", "fan", "room", "outlet",
              {{"area", 0.3},
               {"curve.shutoff_pressure", curve.shutoff},
               {"curve.free_flow", curve.free_flow},
               {"efficiency", 0.63}});
  EXPECT_NEAR(value(solved(builder), "fan.power") / horsepower, 17.55, 0.003 * 17.55);
}

// Fox & McDonald, Introduction to Fluid Mechanics, 5th ed. 1998, example 10.7: a parabola with 25 ft at
// shut-off and 21.9 ft at 300 gpm, 1170 rpm; at 1750 rpm 448.7 gpm and 49.0 ft. Any unit of flow and head
// serves a similarity law: thousandths of a m3/s and pascals here.
// S-FN-03, without the head at shut-off.
TEST(PublishedFans, AffinityOfAParabola) {
  Builder builder(stiff_air(density, 0.0));
  builder.fixed("sump", 0.0).fixed("tank", 0.0);
  builder.add("pump", "fan", "sump", "box",
              {{"area", 0.05},
               {"curve.shutoff_pressure", 25.0},
               {"curve.free_flow", 0.300 / std::sqrt(1.0 - 21.9 / 25.0)},
               {"curve.shaft_speed", 1170.0},
               {"shaft_speed", 1750.0}});
  builder.add("pipe", "loss", "box", "tank", {{"area", 0.05}, {"loss", on_area(21.9 / 0.09, 0.05)}});
  const Solution faster = solved(builder);
  EXPECT_NEAR(value(faster, "pump.flow") / density * 1000.0, 448.7, 0.002 * 448.7);
  EXPECT_NEAR(value(faster, "box.total_pressure"), 49.0, 0.002 * 49.0);
}

/// Fans of 400 - 250 Q^2 Pa with a system of 600 Q^2 between `ram` and still air.
Builder system_with_ram(double ram) {
  Builder builder(stiff_air(density, 0.0));
  builder.fixed("front", ram).fixed("rear", 0.0);
  builder.add("system", "loss", "front", "box", {{"area", 0.1}, {"loss", on_area(600.0, 0.1)}});
  return builder;
}

void add_fan(Builder& builder, const char* name, const char* from, const char* to) {
  builder.add(
      name, "fan", from, to,
      {{"area", 0.1}, {"curve.shutoff_pressure", 400.0}, {"curve.free_flow", std::sqrt(400.0 / 250.0)}});
}

// Closed form: k Q^2 = n (400 - 250 (Q/m)^2) for n fans in a row and m side by side. 1e-6 of the density is
// what a kilopascal squeezes out of the air here.
// S-FN-05; within 4e-6 instead of 1e-6.
TEST(PublishedFans, OneTwoInARowAndTwoSideBySide) {
  Builder one = system_with_ram(0.0);
  add_fan(one, "fan", "box", "rear");
  const Solution single = solved(one);
  EXPECT_NEAR(value(single, "system.flow") / density, 0.6859943406, 2e-6);
  EXPECT_NEAR(-value(single, "fan.pressure_loss"), 282.3529412, 1e-3);

  Builder row = system_with_ram(0.0);
  add_fan(row, "first", "box", "between");
  add_fan(row, "second", "between", "rear");
  EXPECT_NEAR(value(solved(row), "system.flow") / density, 0.8528028654, 2e-6);

  Builder pair = system_with_ram(0.0);
  add_fan(pair, "left", "box", "rear");
  add_fan(pair, "right", "box", "rear");
  const Solution beside = solved(pair);
  EXPECT_NEAR(value(beside, "system.flow") / density, 0.7770286899, 2e-6);
  EXPECT_NEAR(value(beside, "left.flow"), value(beside, "right.flow"), 1e-11);
}

// Closed form: ram + 400 - 250 Q^2 = 600 Q^2. At 900 Pa the fan only just lifts; beyond its free flow it
// becomes an obstruction.
// S-FN-06; flow within 3e-6 and pressure within 3e-4 instead of 1e-6.
TEST(PublishedFans, RamHelpsUntilTheFanIsInTheWay) {
  const auto with_ram = [](double ram) {
    Builder builder = system_with_ram(ram);
    add_fan(builder, "fan", "box", "rear");
    return solved(builder);
  };
  const Solution little = with_ram(250.0);
  EXPECT_NEAR(value(little, "fan.flow") / density, 0.8744746322, 2e-6);
  EXPECT_NEAR(-value(little, "fan.pressure_loss"), 208.8235294, 2e-3);
  const Solution much = with_ram(900.0);
  EXPECT_NEAR(value(much, "fan.flow") / density, 1.236693885, 2e-6);
  EXPECT_NEAR(-value(much, "fan.pressure_loss"), 17.64705882, 5e-3);
  EXPECT_GT(value(with_ram(2000.0), "fan.pressure_loss"), 0.0);
}

}  // namespace
}  // namespace corefeed::cooling
