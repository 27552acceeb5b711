// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

#include "corefeed/fluids/air.hpp"

namespace corefeed::losses {

/// The air outside the car at one operating point. Pressures in Pa above ambient unless said otherwise.
struct Surroundings {
  fluids::Air air;
  double pressure = 0;           ///< ambient static pressure, Pa absolute
  double temperature = 0;        ///< ambient static temperature, K
  double density = 0;            ///< kg/m3
  double speed = 0;              ///< speed of the car, m/s
  double yaw = 0;                ///< rad
  double dynamic_head = 0;       ///< density * speed^2 / 2, Pa
  double total_pressure = 0;     ///< freestream total pressure, Pa above ambient
  double total_temperature = 0;  ///< K
  double mach = 0;
  double engine_speed = 0;  ///< rad/s; of pumps that the engine drives
};

/// Freestream from ambient state and speed: total pressure = q (1 + M^2/4), exact to 0.02 % at M 0.3; total
/// temperature = T + V^2 / (2 cp).
Surroundings surroundings_of(const fluids::Air& air, double pressure, double temperature, double speed,
                             double yaw);

/// Operating points that are solved at once.
inline constexpr std::size_t lane_count = 8;

/// One number for each of them.
struct alignas(64) Lanes {
  std::array<double, lane_count> lane;
};

/// The air outside for several operating points that differ in speed; the members are those of
/// `Surroundings`.
struct SeveralSurroundings {
  fluids::Air air;
  double pressure = 0;
  double temperature = 0;
  double density = 0;
  Lanes speed{};
  double yaw = 0;
  Lanes dynamic_head{};
  Lanes total_pressure{};
  Lanes total_temperature{};
  Lanes mach{};
  double engine_speed = 0;

  /// All points alike.
  explicit SeveralSurroundings(const Surroundings& one);
  /// Gives one point its speed; all else as in `one`.
  void set(std::size_t lane, const Surroundings& one);
};

/// What a law of this scalar reads of the air outside.
template <class S>
struct OutsideFor {
  using type = Surroundings;
};
template <class S>
using OutsideOf = typename OutsideFor<S>::type;

/// What a fan does at an operating point.
enum class FanState { on, freewheeling, stopped, removed };

}  // namespace corefeed::losses
