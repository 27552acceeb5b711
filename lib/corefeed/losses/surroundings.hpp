// SPDX-License-Identifier: Apache-2.0
#pragma once

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

/// What a fan does at an operating point.
enum class FanState { on, freewheeling, stopped, removed };

}  // namespace corefeed::losses
