// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/surroundings.hpp"

#include <cmath>

namespace corefeed::losses {

Surroundings surroundings_of(const fluids::Air& air, double pressure, double temperature, double speed,
                             double yaw) {
  Surroundings s;
  s.air = air;
  s.pressure = pressure;
  s.temperature = temperature;
  s.density = air.density(pressure, temperature);
  s.speed = speed;
  s.yaw = yaw;
  s.dynamic_head = 0.5 * s.density * speed * speed;
  s.mach = speed / std::sqrt(1.4 * air.gas_constant * temperature);
  s.total_pressure = s.dynamic_head * (1.0 + 0.25 * s.mach * s.mach);
  s.total_temperature = temperature + speed * speed / (2.0 * air.heat_capacity);
  return s;
}

SeveralSurroundings::SeveralSurroundings(const Surroundings& one)
    : air(one.air),
      pressure(one.pressure),
      temperature(one.temperature),
      density(one.density),
      yaw(one.yaw),
      engine_speed(one.engine_speed) {
  for (std::size_t lane = 0; lane < lane_count; ++lane) set(lane, one);
}

void SeveralSurroundings::set(std::size_t lane, const Surroundings& one) {
  speed.lane[lane] = one.speed;
  dynamic_head.lane[lane] = one.dynamic_head;
  total_pressure.lane[lane] = one.total_pressure;
  total_temperature.lane[lane] = one.total_temperature;
  mach.lane[lane] = one.mach;
}

}  // namespace corefeed::losses
