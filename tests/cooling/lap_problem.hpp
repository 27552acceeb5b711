// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <functional>
#include <utility>
#include <vector>

#include "corefeed/cooling/lap.hpp"

/// Laps whose heat is a formula of the test's own instead of a network.
namespace corefeed::cooling::testing {

inline constexpr double outside = 303.15;  ///< K

using Heat = std::function<std::vector<double>(const HeatState&)>;

inline HeatSampler sampler(Heat heat) {
  return [heat](const HeatState& state) { return Result<std::vector<double>>(heat(state)); };
}

inline HeatTable table_of(Heat heat, const HeatRange& range) {
  Result<HeatTable> table = HeatTable::prepare(sampler(std::move(heat)), range);
  EXPECT_TRUE(table.ok());
  return std::move(table).value();
}

/// A range from ambient to 150 degC and from 0 to 60 m/s.
inline HeatRange range_of(std::size_t loops, std::size_t settings = 1) {
  HeatRange range;
  range.settings = settings;
  range.fastest = 60.0;
  range.coldest.assign(loops, outside);
  range.hottest.assign(loops, 423.15);
  range.throttled.assign(loops, false);
  return range;
}

/// Heat of one loop that is a conductance, W/K, times its excess over the outside.
inline Heat conductance(double value) {
  return [value](const HeatState& state) { return std::vector{value * (state.temperature[0] - outside)}; };
}

/// A drive at constant speed and constant loads with these times.
inline LapDrive steady_drive(std::vector<double> times, const std::vector<double>& loads) {
  LapDrive drive;
  const std::size_t rows = times.size();
  drive.time = std::move(times);
  drive.speed.assign(rows, 40.0);
  drive.yaw.assign(rows, 0.0);
  for (const double load : loads) drive.load.emplace_back(rows, load);
  drive.setting.assign(rows, 0);
  return drive;
}

inline LapLoop plain_loop(double thermal_mass) {
  LapLoop loop;
  loop.thermal_mass = thermal_mass;
  return loop;
}

/// Times from 0 in even steps.
inline std::vector<double> even_times(double end, std::size_t gaps) {
  std::vector<double> times;
  for (std::size_t i = 0; i <= gaps; ++i)
    times.push_back(end * static_cast<double>(i) / static_cast<double>(gaps));
  return times;
}

}  // namespace corefeed::cooling::testing
