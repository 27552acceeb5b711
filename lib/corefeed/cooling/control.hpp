// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/losses/surroundings.hpp"

/// What acts on a loop while its temperature changes: the thermostat and the switch of a fan.
namespace corefeed::cooling {

/// A wax thermostat in a loop of given flow. It sends a share of the flow through the cores and the rest past
/// them; fully open it sends all. Warming, it opens from `opens_at` to `fully_open_at`; cooling, it closes
/// along the same line lower by the hysteresis; between the two lines it stays where it is. The valve follows
/// the line with a lag of first order. Standard values: common practice, no source.
struct Thermostat {
  double opens_at = 0;       ///< K
  double fully_open_at = 0;  ///< K, above `opens_at`
  double hysteresis = 3.0;   ///< K
  double lag = 7.0;          ///< s, time constant of the wax
  double closed_share = 0;   ///< of the flow, through the cores while closed: bleed hole or leak
};

/// Lift from 0 to 1 that a warming thermostat tends to at this temperature in K.
double warming_line(const Thermostat& thermostat, double temperature);
/// The same while it cools.
double cooling_line(const Thermostat& thermostat, double temperature);
/// Change of the lift, 1/s.
double lift_rate(const Thermostat& thermostat, double lift, double temperature);
/// Share of the loop's flow through the cores.
double core_share(const Thermostat& thermostat, double lift);

/// A fan that is switched by a loop's hottest liquid.
struct FanControl {
  std::string fan;
  double on_above = 0;   ///< K
  double off_below = 0;  ///< K, below `on_above`
  losses::FanState off_state = losses::FanState::freewheeling;
};

}  // namespace corefeed::cooling
