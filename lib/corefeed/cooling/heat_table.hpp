// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "corefeed/cooling/heat_quadratic.hpp"
#include "corefeed/result.hpp"

/// The heat that loops give to the air, prepared so that it can be asked a million times. The air follows a
/// change of speed in a fraction of a second and a loop's temperature in a minute, so the air is taken as
/// steady at every instant.
namespace corefeed::cooling {

/// A state of car and loops. `setting` numbers the states of the fans that may change.
struct HeatState {
  std::size_t setting = 0;
  double speed = 0;                 ///< m/s
  double yaw = 0;                   ///< rad
  std::vector<double> temperature;  ///< K, hottest liquid, by loop
  std::vector<double> share;        ///< of each loop's flow that passes its cores, above 0 to 1
};

/// Heat of every loop in W at a state, from the full network; or why there is no solution.
using HeatSampler = std::function<Result<std::vector<double>>(const HeatState&)>;

/// Where the table has to hold.
struct HeatRange {
  std::size_t settings = 1;
  double slowest = 0, fastest = 0;       ///< m/s
  double least_yaw = 0, most_yaw = 0;    ///< rad
  std::vector<double> coldest, hottest;  ///< K, by loop
  std::vector<bool> throttled;           ///< by loop: whether its share changes
};

/// Over the temperatures of all loops the heat is a complete quadratic: it is nearly linear in them, bent
/// slightly because hot air is thin and chokes its core. Over speed its coefficients are monotone cubics
/// (pchip) on points set closer until a solution half way between them is met within 0.5 %; over yaw a
/// polynomial through five Chebyshev points. A thermostat that sends a share s of the flow through a core
/// acts as a resistance in series with it, rho(s) / s: the heat is that of the unthrottled core at the
/// temperature T* = T - rho(s) Q / s. This is exact where heat is linear in the temperatures.
class HeatTable {
 public:
  /// Errors: those of the sampler.
  static Result<HeatTable> prepare(const HeatSampler& sample, const HeatRange& range);

  const HeatRange& range() const { return range_; }
  /// Speeds at which the network was solved in this setting.
  const std::vector<double>& speeds(std::size_t setting) const { return grids_[setting].speeds; }
  /// How many times the full network was solved.
  std::size_t solutions() const { return solutions_; }

 private:
  friend class HeatLookup;
  friend class HeatTableMaker;

  struct Node {
    std::vector<double> value;  ///< coefficients of the quadratics, then rho by throttled loop and share
    std::vector<double> slope;  ///< over speed
  };
  /// One setting.
  struct Grid {
    std::vector<double> speeds;
    std::vector<Node> nodes;  ///< by yaw and speed

    const Node& node(std::size_t yaw, std::size_t speed) const { return nodes[yaw * speeds.size() + speed]; }
  };

  HeatRange range_;
  std::vector<double> yaws_;
  std::vector<Grid> grids_;
  std::size_t solutions_ = 0;
};

/// Asks a table; keeps its scratch memory and the last throttled state from one call to the next. One a
/// thread.
class HeatLookup {
 public:
  explicit HeatLookup(const HeatTable& table);

  /// Heat by loop in W. Speeds and yaws beyond the table's range take those of its end; shares below 0 those
  /// of a closed valve, which lets no heat through.
  void heat(std::size_t setting, double speed, double yaw, std::span<const double> temperature,
            std::span<const double> share, std::span<double> heat);

 private:
  void blend(std::size_t setting, double speed, double yaw);
  /// T* of all loops; false where every loop is unthrottled.
  bool find_effective(std::span<const double> temperature, std::span<const double> share);

  const HeatTable& table_;
  HeatQuadratic quadratic_;
  std::vector<double> coefficients_;
  std::vector<double> effective_;   ///< T*, K
  std::vector<double> resistance_;  ///< rho, K/W
  std::vector<double> slopes_;      ///< W/K
  std::size_t place_ = 0;           ///< of the gap between two speeds
};

}  // namespace corefeed::cooling
