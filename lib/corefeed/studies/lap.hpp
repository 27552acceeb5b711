// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/cooling/lap.hpp"
#include "corefeed/model/trace.hpp"
#include "corefeed/studies/study.hpp"

/// Loop temperatures of a model over a lap that repeats itself, or over a stint from the start.
namespace corefeed::studies {

struct LapOptions {
  std::string point;        ///< gives what the trace does not name; empty: the first of the model
  std::optional<int> laps;  ///< a stint of so many laps from the start temperatures; absent: until cyclic
  cooling::SolveOptions solver;
};

struct LoopOverLap {
  std::string name;
  cooling::LapLoopResult result;  ///< of the lap, or over the whole stint
  int peak_lap = 1;
  double peak_distance = 0;      ///< m into the lap
  double sigma = 0;              ///< K, of the peak; 0: not known
  std::optional<double> limit;   ///< K: `temperature_limit`, else the lowest requirement
  std::optional<double> steady;  ///< K, at constant mean speed and heat loads, thermostats open; absent: none
  bool throttled = false;        ///< has a thermostat
};

struct FanOverLap {
  std::string name;
  cooling::LapFanResult result;
};

/// How well the prepared heats meet the full network at states of the lap.
struct TableError {
  double largest = 0;  ///< as a share of the heat
  std::string loop;
  double time = 0;  ///< s into the lap
};

/// The answer. Where `ended` stands, a loop went beyond every sensible temperature: there are no temperatures
/// to give and `status` is no_solution, as it is where a lap was asked to repeat itself and does not.
struct LapStudy {
  model::Trace trace;
  std::string point;
  int laps = 0;        ///< driven
  bool stint = false;  ///< from the start temperatures, otherwise the lap that repeats itself
  bool cyclic = false;
  double change = 0;  ///< K, largest change over the last lap
  std::optional<cooling::Lap::Ended> ended;
  double distance = 0;    ///< m, of one lap
  double mean_speed = 0;  ///< m/s
  std::vector<LoopOverLap> loops;
  std::vector<FanOverLap> fans;
  std::vector<double> time;             ///< s, over the stint
  std::vector<cooling::LapState> rows;  ///< at these times
  std::vector<JudgedRequirement> requirements;
  std::vector<Issue> warnings;
  TableError error;
  std::size_t solutions = 0;  ///< of the full network, to prepare
  double preparing = 0;       ///< s of this computer
  double driving = 0;         ///< s of this computer, all laps
  Status status = Status::done;
};

/// Requirements on a loop's temperature are judged at its peak. Errors: unknown_point (usage), missing_key
/// where a loop has no thermal mass, no_loop, too_many_settings, too_many_rows, and no_solution where the
/// network has none at a speed of the trace.
Result<LapStudy> study_lap(const model::Model& model, const model::Trace& trace,
                           const LapOptions& options = {});

}  // namespace corefeed::studies
