// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/lap.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "tests/cooling/lap_problem.hpp"

namespace corefeed::cooling {
namespace {

using namespace testing;

// A car of the size of the tests' golden model: 68 kW, eps Cmin 1086.3 W/K, 60 kJ/K of engine and coolant.
constexpr double load = 68e3;
constexpr double conducting = 1086.3;
constexpr double mass = 60e3;

LapProblem plain(std::vector<double> times) {
  return {table_of(conductance(conducting), range_of(1)),
          {plain_loop(mass)},
          {},
          steady_drive(std::move(times), {load})};
}

LapState cold(const LapProblem& problem, double temperature = outside) {
  return settled(problem, std::vector<double>(problem.loops.size(), temperature));
}

TEST(Lap, ConstantLoadRisesAsTheClosedForm) {
  // T = T_a + Q / k (1 - exp(-t / tau)), tau = C / k: 55.2 s; 95 % after 165 s.
  const LapProblem problem = plain({0.0, 10.0, 55.2, 165.0, 600.0});
  const Lap lap = run_lap(problem, cold(problem));
  const double tau = mass / conducting;
  EXPECT_NEAR(tau, 55.2, 0.05);
  for (std::size_t row = 0; row < lap.rows.size(); ++row) {
    const double expected = load / conducting * (1.0 - std::exp(-problem.drive.time[row] / tau));
    EXPECT_NEAR(lap.rows[row].temperature[0] - outside, expected, 1e-4 * load / conducting) << row;
  }
  EXPECT_NEAR((lap.rows[3].temperature[0] - outside) / (load / conducting), 0.95, 0.001);
}

TEST(Lap, EnergyInIsEnergyOutAndStored) {
  LapProblem problem = plain(even_times(90.0, 1800));
  for (std::size_t row = 0; row < problem.drive.time.size(); ++row) {
    problem.drive.load[0][row] = load * (1.0 + 0.8 * std::sin(0.7 * problem.drive.time[row]));
    problem.drive.speed[row] = 30.0 + 20.0 * std::sin(0.3 * problem.drive.time[row]);
  }
  const Lap lap = run_lap(problem, cold(problem, 340.0));
  const LapLoopResult& loop = lap.loops[0];
  // What went in, from the trace alone.
  const double in = load * (90.0 + 0.8 / 0.7 * (1.0 - std::cos(0.7 * 90.0)));
  EXPECT_NEAR(loop.heat_in, in, 2e-4 * in);  // straight lines between rows of 0.05 s
  EXPECT_NEAR(loop.heat_in, loop.heat_out + loop.stored, 1e-6 * loop.heat_in);
  EXPECT_NEAR(loop.stored, mass * (lap.end.temperature[0] - 340.0), 1e-6 * std::abs(loop.stored));
  // What went out, from the temperatures at the rows by the trapezoidal rule.
  double out = 0.0;
  for (std::size_t row = 1; row < lap.rows.size(); ++row)
    out += conducting * 0.05 *
           (0.5 * (lap.rows[row].temperature[0] + lap.rows[row - 1].temperature[0]) - outside);
  EXPECT_NEAR(loop.heat_out, out, 1e-5 * out);
}

TEST(Lap, SwingingLoadLagsAsAFirstOrderSystem) {
  // A load with a sine of angular frequency w swings the temperature by (A / k) / sqrt(1 + (w tau)^2).
  const double w = 2.0 * std::numbers::pi / 60.0;
  LapProblem problem = plain(even_times(60.0, 1200));
  for (std::size_t row = 0; row < problem.drive.time.size(); ++row)
    problem.drive.load[0][row] = load + 20e3 * std::sin(w * problem.drive.time[row]);
  const LapCycle cycle = find_cycle(problem, cold(problem));
  ASSERT_TRUE(cycle.cyclic);
  const double tau = mass / conducting;
  const double swing = 20e3 / conducting / std::sqrt(1.0 + w * w * tau * tau);
  EXPECT_NEAR(cycle.lap.loops[0].peak - outside, load / conducting + swing, 0.03);
  EXPECT_NEAR(cycle.lap.loops[0].mean - outside, load / conducting, 0.03);
  // sin(w t - phi) is largest a quarter period behind phi.
  const double peak_time = (0.5 * std::numbers::pi + std::atan(w * tau)) / w;
  EXPECT_NEAR(cycle.lap.loops[0].peak_time, peak_time, 0.2);
}

TEST(Lap, CycleIsWhatManyLapsComeTo) {
  LapProblem problem = plain(even_times(30.0, 60));
  for (std::size_t row = 0; row < 30; ++row) problem.drive.load[0][row] = 20e3;
  const LapCycle cycle = find_cycle(problem, cold(problem));
  EXPECT_TRUE(cycle.cyclic);
  EXPECT_LT(cycle.change, 0.2);
  LapState state = cold(problem);
  int laps = 0;
  while (true) {
    const LapState end = run_lap(problem, state).end;
    ++laps;
    const bool there = std::abs(end.temperature[0] - state.temperature[0]) < 1e-6;
    state = end;
    if (there) break;
  }
  EXPECT_NEAR(cycle.start.temperature[0], state.temperature[0], 0.02);
  EXPECT_LT(cycle.laps, laps / 2);
}

TEST(Lap, TimeAboveTheLimitIsThatOfTheClosedForm) {
  LapProblem problem = plain({0.0, 600.0});
  problem.loops[0].limit = outside + 50.0;
  const Lap lap = run_lap(problem, cold(problem));
  const double crossing = -mass / conducting * std::log(1.0 - 50.0 * conducting / load);
  EXPECT_NEAR(lap.loops[0].time_above, 600.0 - crossing, 1e-5);
}

TEST(Lap, FanSwitchesWhereAHandCalculationHasIt) {
  // Off: 600 W/K, steady at 113.3 K above the outside; on: 1600 W/K, 42.5 K. On above 70 K, off below 60 K.
  const auto heat = [](const HeatState& state) {
    return std::vector{(state.setting == 1 ? 1600.0 : 600.0) * (state.temperature[0] - outside)};
  };
  const LapProblem problem{table_of(heat, range_of(1, 2)),
                           {plain_loop(mass)},
                           {{0, outside + 70.0, outside + 60.0}},
                           steady_drive({0.0, 400.0}, {load})};
  const Lap lap = run_lap(problem, cold(problem, outside + 60.0));
  const double off = mass / 600.0 * std::log((load / 600.0 - 60.0) / (load / 600.0 - 70.0));
  const double on = mass / 1600.0 * std::log((70.0 - load / 1600.0) / (60.0 - load / 1600.0));
  // Off and on in turn, beginning with off.
  int switched = 0;
  double time_on = 0.0;
  double time = 0.0;
  while (time + (switched % 2 == 0 ? off : on) < 400.0) {
    if (switched % 2 == 1) time_on += on;
    time += switched % 2 == 0 ? off : on;
    ++switched;
  }
  if (switched % 2 == 1) time_on += 400.0 - time;
  ASSERT_GT(switched, 6);
  EXPECT_EQ(lap.fans[0].switched, switched);
  EXPECT_NEAR(lap.fans[0].time_on, time_on, 1e-4);
  EXPECT_NEAR(lap.loops[0].peak, outside + 70.0, 1e-6);
}

/// A core of 2000 W/K with a resistance of the liquid side in series that grows as the flow falls.
double throttled_conductance(double share) { return 1.0 / (1.0 / 2000.0 + 2e-4 * (1.0 / share - 1.0)); }

LapProblem with_thermostat(const Thermostat& thermostat, std::vector<double> times, double power) {
  const auto heat = [](const HeatState& state) {
    return std::vector{throttled_conductance(state.share[0]) * (state.temperature[0] - outside)};
  };
  HeatRange range = range_of(1);
  range.throttled = {true};
  LapLoop loop = plain_loop(mass);
  loop.thermostat = thermostat;
  return {table_of(heat, range), {loop}, {}, steady_drive(std::move(times), {power})};
}

constexpr Thermostat wax{
    .opens_at = outside + 50.0, .fully_open_at = outside + 62.0, .hysteresis = 3.0, .lag = 5.0};

TEST(Lap, ClosedThermostatLetsTheLoopWarmAtItsLoad) {
  const double opening = mass * 50.0 / load;  // 44.1 s
  const LapProblem problem = with_thermostat(wax, {0.0, 0.5 * opening, opening, 400.0}, load);
  const Lap lap = run_lap(problem, cold(problem));
  EXPECT_NEAR(lap.rows[1].temperature[0], outside + 25.0, 1e-3);
  EXPECT_NEAR(lap.rows[2].temperature[0], outside + 50.0, 2e-3);
  EXPECT_NEAR(lap.rows[2].lift[0], 0.0, 1e-6);
}

TEST(Lap, ThermostatSettlesOnItsWarmingLine) {
  const LapProblem problem = with_thermostat(wax, {0.0, 2000.0}, load);
  const Lap lap = run_lap(problem, cold(problem));
  // Steady: all of the load through the opening that belongs to the temperature, within the hysteresis that a
  // swing on the way there may leave.
  const double temperature = lap.end.temperature[0];
  EXPECT_NEAR(throttled_conductance(lap.end.lift[0]) * (temperature - outside), load, 2e-3 * load);
  EXPECT_GE(lap.end.lift[0], warming_line(wax, temperature) - 1e-3);
  EXPECT_LE(lap.end.lift[0], cooling_line(wax, temperature) + 1e-3);
  EXPECT_GT(lap.end.lift[0], 0.05);
  EXPECT_LT(lap.end.lift[0], 0.95);
}

TEST(Lap, ThermostatStaysWithinItsHysteresis) {
  // At half open and 1.5 K below the warming line nothing moves; 3 K below it begins to close.
  EXPECT_EQ(lift_rate(wax, 0.5, outside + 56.0), 0.0);
  EXPECT_EQ(lift_rate(wax, 0.5, outside + 54.5), 0.0);
  EXPECT_LT(lift_rate(wax, 0.5, outside + 52.0), 0.0);
  EXPECT_NEAR(lift_rate(wax, 0.5, outside + 52.0), (5.0 / 12.0 - 0.5) / 5.0, 1e-12);
  EXPECT_NEAR(lift_rate(wax, 0.5, outside + 62.0), 0.5 / 5.0, 1e-12);
  EXPECT_EQ(lift_rate(wax, 1.0, outside + 200.0), 0.0);
  EXPECT_EQ(core_share({.closed_share = 0.1}, 0.5), 0.55);
}

TEST(Lap, LoopWithoutCoolingEndsInsteadOfGivingATemperature) {
  const auto heat = [](const HeatState& state) {
    return std::vector{conducting * (state.temperature[0] - outside), 5.0 * (state.temperature[1] - outside)};
  };
  const LapProblem problem{table_of(heat, range_of(2)),
                           {plain_loop(mass), plain_loop(10e3)},
                           {},
                           steady_drive(even_times(90.0, 90), {load, 9e3})};
  const LapCycle cycle = find_cycle(problem, cold(problem));
  ASSERT_TRUE(cycle.lap.ended.has_value());
  EXPECT_EQ(cycle.lap.ended->loop, 1U);
  EXPECT_FALSE(cycle.cyclic);
}

}  // namespace
}  // namespace corefeed::cooling
