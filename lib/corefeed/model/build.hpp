// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/model/model.hpp"

namespace corefeed::model {

/// A pressure coefficient that came from the table of surface pressures.
struct TakenPressure {
  int element = 0;  ///< of the network
  double sigma = 0;
  std::string held;  ///< where the point lies beyond the runs: how far, in words
};

/// A model at one operating point as a case to solve.
struct Built {
  cooling::Case problem;
  /// By model element: its elements in the case's network; several for a duct path, in path order.
  std::vector<std::vector<int>> parts;
  std::vector<TakenPressure> pressures;
};

/// The model must have been read without error.
Built build(const Model& model, const Point& point);

/// Heat that a loop takes up at a point, W: the point's own, the loop's, or its share of the shaft power.
double heat_of(const Loop& loop, const Point& point);

/// Warnings that need no solution: sections that do not fit at a duct node (area_mismatch), numbers a law had
/// to hold (mended), numbers that look like a slip of the unit (implausible).
std::vector<Issue> model_warnings(const Model& model, const Built& built);

/// Code extrapolated: openings whose pressure is taken from the nearest run, because the point lies beyond
/// the runs.
std::vector<Issue> pressure_warnings(const Model& model, const Built& built);

/// A number a law uses that the model does not give.
struct Assumption {
  std::string element;
  std::string parameter;
  double value = 0;  ///< SI
  units::Quantity quantity = units::Quantity::number;
  std::string choice;  ///< the word, where the key is a choice
  std::string source;
  Tag tag = Tag::from_memory;
};
/// How well each half of a core is known and what was fitted to tests; standard values that the model leaves
/// as they are; and (parameter "law", value its band) every law whose
/// own constants are recalled from memory or closures of ours.
std::vector<Assumption> assumptions(const Model& model);

}  // namespace corefeed::model
