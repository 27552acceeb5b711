// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "corefeed/studies/sweep.hpp"
#include "corefeed/studies/words.hpp"

/// What a sweep's plan is made of. Private to the library's sources.
namespace corefeed::studies {

/// "250 cm2:800 cm2:12"
std::string example_range(units::Quantity quantity);

/// One input: a parameter and where its values stand.
struct SweptNumber {
  model::Parameter parameter;
  std::size_t axis = 0;
  std::size_t place = 0;  ///< in the axis's rows
};

/// How a number reaches the equations of a point.
enum class Way {
  direct,  ///< it is one number of the equations, which is set
  idle,    ///< the point has another in its place: it moves nothing
  rebuilt  ///< the equations are set up anew for each value
};

/// What holds for all points that give the same things, whatever their numbers.
struct PointGroup {
  std::vector<Way> ways;  ///< by input
  bool several = false;   ///< the network may have several states: every row is searched for them
};

/// What a plan holds.
struct PlannedSweep {
  const model::Model* model = nullptr;
  SweepQuestion question;
  std::vector<SweepColumn> inputs, shown;
  std::vector<SweptNumber> numbers;               ///< by input
  std::vector<std::pair<double, double>> bounds;  ///< by input: lowest and highest value
  std::vector<Issue> warnings;
  std::vector<std::size_t> points;    ///< asked for, places in the model's
  std::vector<std::size_t> group_of;  ///< by asked point
  std::vector<PointGroup> groups;
  std::size_t rows_of_point = 1;
  std::vector<std::size_t> stride;  ///< by axis: rows until it moves
  std::size_t block_rows = 1;

  std::size_t rows() const { return rows_of_point * points.size(); }
  std::size_t axis_row(std::size_t row, std::size_t axis) const {
    return row % rows_of_point / stride[axis] % question.axes[axis].rows();
  }
  double value(std::size_t row, std::size_t input) const {
    const SweptNumber& number = numbers[input];
    const SweepAxis& axis = question.axes[number.axis];
    return axis.values[axis_row(row, number.axis) * axis.names.size() + number.place];
  }
  /// The value in the middle of its axis: near all rows.
  double middle(std::size_t input) const {
    const SweptNumber& number = numbers[input];
    const SweepAxis& axis = question.axes[number.axis];
    return axis.values[axis.rows() / 2 * axis.names.size() + number.place];
  }
};

/// Finds the bounds of every input, sorts the asked points into groups and finds the inputs' ways there.
void find_ways(PlannedSweep& plan);

}  // namespace corefeed::studies
