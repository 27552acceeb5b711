// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "cad_bridge/worker/limits.hpp"
#include "corefeed/result.hpp"

/// Measuring a STEP file without letting a geometry kernel into this process: the file is looked through
/// first
/// (`prescan_step`), then a separate program reads it with bounded memory and time and answers over a pipe.
/// Whatever the file does to that program, the caller stays well.
namespace corefeed::worker {

struct MeasureRequest {
  std::string part;                ///< measure this part alone; empty for all
  std::vector<std::string> cores;  ///< parts or sub-assemblies that are cores whatever their names
  int sections = 50;               ///< equally spaced stations of each path, both ends included
  std::vector<double> at;          ///< further stations at these shares (0..1)
  std::string assume_unit;  ///< "mm", "cm", "m", "in" or "ft" for a file that names no unit; empty: none
};

/// A shape that a CAD program hands over: its BREP text, in mm, under the name that a STEP file would give it
/// ("nose_duct", "port:nose_duct.in").
struct ShapeText {
  std::string name;
  std::string brep;
};

/// The path of the measuring program: the environment variable COREFEED_WORKER, else `corefeed-worker` beside
/// the running program or beside the library this function is in, else in bin or libexec/corefeed of a folder
/// above these, the nearest first.
/// Error: no_worker (usage).
Result<std::string> find_worker();

/// The same with given folders instead of those of program and library.
Result<std::string> find_worker(const std::vector<std::string>& folders);

/// What the program answers: the measurement as its own JSON text, layers and colors of openings, and curves
/// to draw.
struct WorkerReply {
  std::string measurement;
  std::string marks;    ///< JSON list, see `take_marks`; empty where there is none
  std::string drawing;  ///< JSON object, see `take_drawing`; likewise
};
Result<WorkerReply> ask_worker(const std::string& step_path, const MeasureRequest& request,
                               const WorkerLimits& limits = {});

/// The same for shapes of a CAD program; `label` stands for the file. Numbers are those of a STEP file with
/// the same shapes but for the 16th digit, which BREP text rounds. Errors: no_shape (input), file_too_large,
/// not_brep (geometry) and those of `run_worker`.
Result<WorkerReply> ask_worker(const std::vector<ShapeText>& shapes, const std::string& label,
                               const MeasureRequest& request, const WorkerLimits& limits = {});

/// The measurement as the program's own JSON text. Errors:
/// input: missing_file, no_regular_file; usage: no_worker;
/// geometry: unreadable_file, those of `prescan_step`, worker_died, worker_failed, bad_reply, and what the
/// program reports of the shape; limit: worker_limit; internal: no_process.
Result<std::string> run_worker(const std::string& step_path, const MeasureRequest& request,
                               const WorkerLimits& limits = {});

}  // namespace corefeed::worker
