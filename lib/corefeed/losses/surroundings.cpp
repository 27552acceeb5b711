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

}  // namespace corefeed::losses
