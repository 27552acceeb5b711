// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// What moving the air costs, in watts: what the car's speed and the fans put in, where it goes, and what the
/// engine pays for it.
namespace corefeed::studies {

struct PowerLine {
  std::string element;
  double power = 0;  ///< W
};

/// All in W. Each stream counts with m dp / rho, rho where it enters the element.
struct Power {
  std::vector<PowerLine>
      losses;       ///< by element of the air, largest first; fans that drive are not among them
  double lost = 0;  ///< their sum
  double ram = 0;   ///< from outside: pressures that the openings see, times the volume that passes
  double fans = 0;  ///< that fans put into the air
  /// What is lost beyond ram and fans: the air takes more volume behind a hot core than before it.
  double expansion = 0;
  double fans_drawn = 0;  ///< electrical
  double drag = 0;        ///< cooling drag (wake form) times speed
  double drag_upper = 0;  ///< the same with all momentum of the air lost
  /// drag + fans_drawn / generator_efficiency: what the crankshaft pays. Vents that blow backwards can make
  /// the drag's part small; that hot air pushes the car is never claimed.
  double engine = 0;
};

/// From belt to wire and through a battery: common practice, no source.
inline constexpr double generator_efficiency = 0.55;

Power power_of(const PointResult& result);

}  // namespace corefeed::studies
