// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "corefeed/cooling/absurd.hpp"
#include "corefeed/cooling/control.hpp"
#include "corefeed/cooling/heat_table.hpp"

/// Loop temperatures over a lap: C dT/dt = heat in - heat out for each loop, with thermostats and switched
/// fans.
namespace corefeed::cooling {

struct LapLoop {
  double thermal_mass = 0;      ///< J/K
  std::optional<double> limit;  ///< K
  std::optional<Thermostat> thermostat;
};

/// A fan that a loop switches.
struct LapControl {
  std::size_t loop = 0;
  double on_above = 0;   ///< K
  double off_below = 0;  ///< K
};

/// What drives the loops, by row of the trace; straight lines between rows. The table's setting is
/// `setting[row]` shifted left by the number of controls, with bit k set where fan k is on.
struct LapDrive {
  std::vector<double> time;               ///< s, from 0, rising
  std::vector<double> speed;              ///< m/s
  std::vector<double> yaw;                ///< rad
  std::vector<std::vector<double>> load;  ///< W, by loop and row
  std::vector<std::size_t> setting;       ///< holds to the next row
};

struct LapProblem {
  HeatTable table;
  std::vector<LapLoop> loops;
  std::vector<LapControl> controls;
  LapDrive drive;
};

/// All that passes from one lap to the next.
struct LapState {
  std::vector<double> temperature;  ///< K, by loop
  std::vector<double> lift;         ///< of the thermostat, 0 to 1; 1 where there is none
  std::vector<bool> fan_on;         ///< by control
};

/// The state of a car that has stood long at these temperatures.
LapState settled(const LapProblem& problem, std::vector<double> temperature);

/// What one loop does over a lap.
struct LapLoopResult {
  double peak = 0;                            ///< K
  double peak_time = 0;                       ///< s into the lap
  double mean = 0;                            ///< K
  double time_above = 0;                      ///< s above the limit; 0 without a limit
  double heat_in = 0;                         ///< J
  double heat_out = 0;                        ///< J
  double stored = 0;                          ///< J, thermal mass times change of temperature
  double least_share = 1, largest_share = 1;  ///< of the flow, through the cores
};

struct LapFanResult {
  double time_on = 0;  ///< s
  int switched = 0;    ///< times
};

/// One lap. Where `ended` stands, a loop left every sensible temperature at that time: nothing behind it is
/// known, and the results are those up to there.
struct Lap {
  std::vector<LapLoopResult> loops;
  std::vector<LapFanResult> fans;
  std::vector<LapState> rows;  ///< the state at every row of the trace
  LapState end;
  struct Ended {
    std::size_t loop = 0;
    double time = 0;  ///< s
  };
  std::optional<Ended> ended;
};

/// Integrates one lap with an explicit Runge-Kutta method of order 5 (Dormand and Prince, J. Comp. Appl.
/// Math. 6, 1980) with step control to 1e-9. Steps end at the rows of the trace and where a fan switches, a
/// thermostat begins or ends to move, a limit is crossed or a temperature turns round; those are found on the
/// method's dense output.
Lap run_lap(const LapProblem& problem, const LapState& start);

/// Laps repeated until they repeat themselves.
struct LapCycle {
  Lap lap;              ///< the last one
  LapState start;       ///< its beginning
  int laps = 0;         ///< how many were driven to get there
  double change = 0;    ///< K, largest change of a temperature from the beginning to the end of the last lap
  bool cyclic = false;  ///< change below 0.2 K, all fans as they were
};

/// Drives laps, with Aitken's extrapolation after every third (Aitken, Proc. R. Soc. Edinburgh 46, 1926),
/// until the temperatures at the end are those at the beginning within 0.01 K; at most 60 laps.
LapCycle find_cycle(const LapProblem& problem, const LapState& start);

/// Largest change of a temperature from one state to another, K.
double largest_change(const LapState& a, const LapState& b);

}  // namespace corefeed::cooling
