// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// What would cure a requirement that is not met.
namespace corefeed::studies {

/// One number that a shop can change, and what it can do.
struct Lever {
  std::string parameter;  ///< "fender_vent.area", as `corefeed size --vary` takes it
  units::Quantity kind = units::Quantity::number;
  double now = 0;         ///< SI
  double elasticity = 0;  ///< of the quantity, at the governing point
  bool larger = true;     ///< the direction that helps
  double ten_percent =
      0;  ///< SI: by how much the quantity moves where the number changes by a tenth that way
  std::optional<double> size;  ///< SI: holds the requirement at all its points; nothing: it cannot
  double sigma = 0;            ///< 1-sigma of the size, SI
  /// Where it cannot: the best of the range searched and what the quantity is then at its governing point;
  /// why.
  double best = 0;
  double reaches = 0;
  std::string why_not;
};

struct Advice {
  std::size_t requirement = 0;  ///< in the model's requirements
  std::string point;            ///< governing point
  double target = 0;  ///< SI, that the levers are sized for: the limit, or beyond it where it has to be sure
  std::vector<Lever> levers;  ///< the at most three strongest, those that cure first
};

/// For each requirement of the study that is not met or too close to call: the levers of the largest effect,
/// each sized over 0.2 to 5 times the present value. A requirement whose governing point has no solution gets
/// none.
std::vector<Advice> advise(const model::Model& model, const Study& study, const StudyOptions& options = {});

/// Levers on a quantity at a solved point, strongest first: sizes, openings and fans that a shop can change,
/// not the air, the fluids or a handbook's coefficients.
std::vector<Influence> levers_on(const model::Model& model, const PointResult& result,
                                 std::string_view quantity);

}  // namespace corefeed::studies
