// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::proposal {

/// Surface pressures of one or several runs of CFD, as points in the frame of the CAD file.
struct SurfaceRun {
  std::optional<double> ride_height;  ///< m
  std::optional<double> yaw;          ///< rad
  std::string file;
  std::vector<worker::Point> points;  ///< m
  std::vector<double> cp;
};

/// Reads a CSV file with the columns x, y, z (with their unit) and cp; columns ride_height and yaw part it
/// into runs. `label` stands before: "FILE" or "FILE@ride_height=30mm,yaw=2deg", for files that hold one run
/// each. Issues: those of `read_csv`, and missing_column, unknown_column, missing_unit, unknown_unit,
/// wrong_dimension, contradiction (an axis both in the label and as a column), not_a_number.
Result<std::vector<SurfaceRun>> read_surface_runs(const std::string& label);

struct AverageOptions {
  /// Width of the ring around an opening, in hydraulic diameters. Closure of ours.
  double ring = 0.25;
  /// "NAME=ELEMENT": what an opening or cut-out is called in the table.
  std::map<std::string, std::string> names;
};

/// The mean pressure coefficient over one opening and the ring around it in one run.
struct OpeningPressure {
  std::string opening;
  std::size_t run = 0;
  double cp = 0;
  double sigma = 0;  ///< how much it varies over opening and ring
  std::size_t points = 0;
};

struct SurfaceAverages {
  std::vector<OpeningPressure> rows;  ///< by opening, then by run
  std::vector<Issue> warnings;        ///< no_points: openings that no run reaches, with the nearest point
};

/// Averages over the outlines of every opening and cut-out. Points count that lie within half a hydraulic
/// diameter of its plane and, seen along its normal, inside the outline or the ring. Points crowd where a
/// mesh is fine, so each of 24 by 24 equal cells has one vote, less where it is covered in part. Issues
/// (status input): contradiction (runs along different axes), duplicate_run, unknown_name in `names`;
/// too_few_points (under 12, or in under 6 cells) where another run has enough; no_points where no opening
/// has any.
Result<SurfaceAverages> average_surface(const worker::Measurement& measurement,
                                        const std::vector<SurfaceRun>& runs,
                                        const AverageOptions& options = {});

/// The table that a model's `surface_pressure` reads.
std::string surface_table(const SurfaceAverages& averages, const std::vector<SurfaceRun>& runs);

}  // namespace corefeed::proposal
