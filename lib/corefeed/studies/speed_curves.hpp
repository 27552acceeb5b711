// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// Flows and temperatures over the speed of the car, heat loads and fans as a point has them.
namespace corefeed::studies {

/// One quantity over the speeds of its curves.
struct SpeedCurve {
  std::string quantity;  ///< "radiator.flow"
  units::Quantity kind = units::Quantity::number;
  std::vector<double> values;  ///< SI, by speed; NaN where there is no steady state
};

struct SpeedCurves {
  std::string point;           ///< gives all but the speed
  double speed = 0;            ///< m/s, the point's own; one of `speeds`
  std::vector<double> speeds;  ///< m/s, rising
  std::vector<SpeedCurve> curves;
};

/// Speeds from below the slowest point of the model to above its fastest, evenly spaced, and among them the
/// speed of every point, so that a point lies on its own curve. m/s.
std::vector<double> speeds_around(const model::Model& model, std::size_t count);

/// The quantities of interest of each point asked for, solved at these speeds. Pressure coefficients, heat
/// loads, ride height and fans stay as the point has them. Cost: one solution for each point and speed.
std::vector<SpeedCurves> speed_curves(const model::Model& model, const std::vector<double>& speeds,
                                      const StudyOptions& options = {});

}  // namespace corefeed::studies
