// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

/// What is measured of geometry_samples against the truth that stands beside each file: closed forms and
/// Gauss integrals of the analytic shapes, never numbers of our own measuring.
namespace corefeed::geometry::accuracy {

/// One quantity of one part: of several values (sections, openings, ..) the one that is farthest off.
struct Row {
  std::string part;
  std::string quantity;
  double truth = 0;  ///< in `unit`
  double measured = 0;
  std::string unit;  ///< of truth and measured: "cm2", "mm", "deg", "%" or "cm3"
  double error = 0;  ///< relative, of angles in degrees
  double goal = 0;   ///< likewise
  int count = 1;     ///< values compared

  bool angle() const { return unit == "deg"; }
};

struct Comparison {
  std::vector<Row> rows;
  std::vector<std::string> faults;  ///< what is missing or another word or count than expected
};

/// The samples' names, in alphabetical order.
std::vector<std::string> sample_names();

/// Measures geometry_samples/NAME.step and compares every number of NAME.truth.json.
Comparison compare_sample(const std::string& name);

/// The first cells of a row, which say what is asked for: part, quantity, truth and goal.
struct Cells {
  std::string part, quantity, truth, measured, error, goal;
};
Cells cells_of(const Row& row);

/// One line of the table in docs/measuring.md.
std::string line(const Row& row);

}  // namespace corefeed::geometry::accuracy
