// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/model/model.hpp"
#include "corefeed/studies/study.hpp"

/// How large a number of the model must be for a quantity to reach a target.
namespace corefeed::studies {

/// The question of `corefeed size`.
struct SizeQuestion {
  std::vector<std::string> parameters;             ///< "fender_vent.area"; several keep their ratio
  std::string quantity;                            ///< "radiator.flow"
  bool at_least = true;                            ///< the quantity must be >= target, else <=
  double target = 0;                               ///< SI
  units::Quantity kind = units::Quantity::number;  ///< of the quantity
  std::optional<double> lowest;     ///< SI, of the first parameter; default: 0.2 times the present value
  std::optional<double> highest;    ///< default: 5 times the present value
  std::vector<std::string> points;  ///< where it must hold; empty: at every point
};

/// The answer. `reached` is false where no value in the range does; then `value` is the best of the range.
struct Size {
  std::string parameter;
  double value = 0;            ///< SI, of the first parameter
  double sigma = 0;            ///< 1-sigma of the size, from that of the quantity and its slope
  std::vector<double> values;  ///< SI, of all parameters
  double lowest = 0;           ///< range searched
  double highest = 0;
  bool reached = false;
  double quantity = 0;          ///< the quantity at `value`, at the governing point
  std::string point;            ///< governing point
  std::string limited_by;       ///< what keeps the target out of reach, in words; empty when reached
  std::vector<Issue> warnings;  ///< several_crossings, no_solution inside the range
  model::Model sized;           ///< the model with the sizes set and written
};

/// Reads `radiator.flow >= 1.51 kg/s`, `oil.temperature <= 120 degC` or `requirement:NAME` (its limit).
/// Errors (status usage): bad_condition, unknown_quantity, unknown_requirement and those of quantities.
Result<SizeQuestion> read_condition(const model::Model& model, const std::string& text);

/// Looks over the range for the first crossing from the side where the target holds not, then closes in on it
/// with a bracketing root finder. The present value counts: where the target holds already, the size is the
/// smallest change that still holds it. Errors: those of `find_parameter`, bad_range, no_solution; and those
/// of a number that may not be given as the element stands: missing_key, conflicting_keys (status usage).
Result<Size> size(const model::Model& model, const SizeQuestion& question, const StudyOptions& options = {});

}  // namespace corefeed::studies
