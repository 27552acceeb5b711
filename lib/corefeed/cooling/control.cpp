// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/control.hpp"

#include <algorithm>

namespace corefeed::cooling {

double warming_line(const Thermostat& thermostat, double temperature) {
  const double range = thermostat.fully_open_at - thermostat.opens_at;
  return std::clamp((temperature - thermostat.opens_at) / range, 0.0, 1.0);
}

double cooling_line(const Thermostat& thermostat, double temperature) {
  return warming_line(thermostat, temperature + thermostat.hysteresis);
}

double lift_rate(const Thermostat& thermostat, double lift, double temperature) {
  const double opening = std::max(warming_line(thermostat, temperature) - lift, 0.0);
  const double closing = std::min(cooling_line(thermostat, temperature) - lift, 0.0);
  return (opening + closing) / thermostat.lag;
}

double core_share(const Thermostat& thermostat, double lift) {
  return thermostat.closed_share + (1.0 - thermostat.closed_share) * lift;
}

}  // namespace corefeed::cooling
