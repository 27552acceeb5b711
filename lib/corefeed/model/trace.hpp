// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <vector>

#include "corefeed/model/model.hpp"

namespace corefeed::model {

/// What a lap or stint asks of a car, row by row. Between two rows numbers run straight; a fan keeps the
/// state of the row before.
struct Trace {
  std::string file;
  std::vector<double> time;                              ///< s, from 0, rising
  std::vector<double> speed;                             ///< m/s
  std::vector<double> yaw;                               ///< rad; empty without the column
  std::map<std::string, std::vector<double>> heat_load;  ///< W, by loop
  std::map<std::string, std::vector<losses::FanState>> fans;
  std::vector<Issue> warnings;  ///< columns on which nothing in the model depends

  double duration() const { return time.back(); }
};

/// Reads a trace for a model: a CSV file with the columns `time` and `speed`, and as wanted `yaw`,
/// `engine_speed`, `ride_height`, `heat_load.LOOP` and `fans.FAN` (words). Errors with line and column: those
/// of `read_csv`, and missing_column, unknown_column, missing_unit, unknown_unit, wrong_dimension,
/// out_of_bounds, time_not_rising, too_few_rows, unknown_name, contradiction (a fan that the
/// model's `fan_control` switches).
Result<Trace> read_trace(const std::string& path, const Model& model);

/// The same for text in memory; `label` stands for the file.
Result<Trace> parse_trace(std::string text, const std::string& label, const Model& model);

}  // namespace corefeed::model
