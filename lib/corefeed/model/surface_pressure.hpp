// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::model {

/// Pressure coefficients of openings over ride height and yaw, as a few runs of CFD gave them. Between runs
/// they go straight along each axis; beyond the runs the nearest one holds, and `held` says so.
class SurfacePressure {
 public:
  enum class Axis { ride_height, yaw };
  static std::string_view name_of(Axis axis);

  struct Taken {
    double cp = 0;
    double sigma = 0;
    std::string held;  ///< "ride_height 25 mm (runs from 30 mm to 60 mm)"; empty inside the runs
  };

  const std::string& file() const { return file_; }
  const std::vector<Axis>& axes() const { return axes_; }
  /// Values of an axis that the runs stand at, rising, m or rad; empty where the runs do not vary it.
  std::vector<double> values(Axis axis) const;
  std::vector<std::string> openings() const;
  bool has(std::string_view opening) const { return cp_.find(opening) != cp_.end(); }

  /// `ride_height` in m, `yaw` in rad; the opening must be one of `openings`.
  Taken at(std::string_view opening, double ride_height, double yaw) const;

  /// Reads a CSV file with the columns opening, cp, as wanted sigma, and a column for each axis; a row an
  /// opening and run. No axes given: those that the table has. Every opening needs every pair of the axes'
  /// values. Issues with line: those of `read_csv`, and missing_column, unknown_column, missing_unit,
  /// unknown_unit, wrong_dimension, out_of_bounds, duplicate_run, missing_run.
  static Result<SurfacePressure> read(const std::string& path, std::vector<Axis> axes);

 private:
  friend class SurfacePressureReader;
  std::string file_;
  std::vector<Axis> axes_;
  std::vector<std::vector<double>> values_;                     ///< by axis, rising
  std::map<std::string, std::vector<double>, std::less<>> cp_;  ///< the last axis runs fastest
  std::map<std::string, std::vector<double>, std::less<>> sigma_;
};

}  // namespace corefeed::model
