// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cad_bridge/worker/worker.hpp"
#include "corefeed/result.hpp"

/// What was measured of a STEP file, as plain numbers: metres, square metres and radians in the file's root
/// frame. Names and meanings are those of the JSON that `corefeed measure` prints.
namespace corefeed::worker {

using Point = std::array<double, 3>;
using Direction = std::array<double, 3>;

/// Corners of a curve to draw. Not part of the printed document, and not for measuring.
using Curve = std::vector<Point>;

/// A body that stands before an opening.
struct Blocker {
  std::string part;
  double gap = 0;                   ///< along the opening's normal, averaged over the covered part
  double share = 0;                 ///< covered part of the opening, 0..1
  double open_perimeter = 0;        ///< of the covered part's outline, where air can reach the gap
  std::vector<Curve> covered = {};  ///< outlines of the covered part
};

/// An end of a passage.
struct Opening {
  std::string name;
  double area = 0;
  double perimeter = 0;
  double hydraulic_diameter = 0;
  Point center{};
  Direction normal{};  ///< out of the passage
  double free_area = 0;
  std::vector<Blocker> blocked_by;
  std::vector<std::string> layers;  ///< of its face in the CAD file; not part of the printed document
  std::string color;                ///< of its face, "#rrggbb", empty for none; likewise
  std::vector<Curve> outlines = {};
};

struct Station {
  double distance = 0;  ///< along the centreline from the first opening's centre
  double area = 0;
  double perimeter = 0;
  double hydraulic_diameter = 0;
  Point center{};
  Direction tangent{};
  int loops = 1;
  std::vector<Curve> outlines = {};
};

/// A stretch of one kind with the keys of that element kind.
struct Piece {
  std::string kind;
  double from = 0;
  double to = 0;
  std::map<std::string, double> numbers;
  std::map<std::string, std::string> choices;
  std::string reason;  ///< why the path was cut here; may be empty
};

struct Narrowest {
  double distance = 0;
  double area = 0;
  std::vector<Curve> outlines = {};
};

struct Path {
  std::string from;
  std::string to;
  double length = 0;
  Narrowest narrowest;
  std::vector<Station> stations;
  std::vector<Piece> pieces;
};

struct Louvre {
  int blades = 0;
  double blade_angle = 0;
  double gross_area = 0;
  double throat_area = 0;
};

/// A hole in a panel.
struct Cutout {
  std::string name;
  double area = 0;
  double projected_area = 0;
  double perimeter = 0;
  double thickness = 0;
  Point center{};
  Direction normal{};
  double free_area = 0;
  std::vector<Blocker> blocked_by;
  std::optional<Louvre> louvre;
  std::vector<Curve> outlines = {};
};

struct Core {
  double face_area = 0;
  double free_face_area = 0;
  double depth = 0;
  Point center{};
  Direction normal{};
  std::vector<Curve> outlines = {};  ///< of the face
};

/// One instance of one body.
struct Part {
  std::string name;  ///< instance path
  std::string kind;  ///< "flow volume", "sheet part", "shell", "panel", "core" or "body"
  std::optional<double> volume;
  std::vector<Opening> openings;
  std::vector<Path> paths;
  std::vector<Cutout> cutouts;
  std::optional<Core> core;
  std::vector<Curve> edges = {};  ///< open curves: where the shape's skin ends or turns
};

/// Between the rim of a duct's end and a core.
struct Gap {
  std::string duct;
  std::string core;
  double rim_length = 0;
  double gap_area = 0;
  double face_coverage = 0;
  double incidence = 0;  ///< between the duct end's normal and the core's, rad
};

struct MeasureWarning {
  std::string code;
  std::string text;
};

struct Measurement {
  std::string file;
  std::string unit;  ///< of the file: "mm", "cm", "m", "in" or "ft"
  std::array<Point, 2> bounding_box{};
  std::vector<Part> parts;
  std::vector<Gap> gaps;
  std::vector<MeasureWarning> warnings;
  std::string json;  ///< the text this was read from, digit for digit
};

/// Reads the JSON of a measurement. `file` goes into the issues. Lists and what a kind of part does not have
/// may be missing; a missing or misplaced number is an error: bad_measurement (geometry) with its pointer.
Result<Measurement> read_measurement(std::string_view json, const std::string& file);

/// Takes layers and colors of openings from the reply's list of marks: [{"part", "opening", "layers",
/// "color"}]. What does not fit is left out.
void take_marks(Measurement& measurement, std::string_view marks);

/// Takes the curves of the reply's drawing: {"parts": [{"edges", "openings": [{"outlines", "covered"}],
/// "paths":
/// [{"stations": [outlines of each], "narrowest": outlines}], "cutouts": as openings, "core"}]} in the order
/// of the measurement's own lists, a curve as a flat list of coordinates in micrometers. What does not fit is
/// left out.
void take_drawing(Measurement& measurement, std::string_view drawing);

/// `ask_worker` and `read_measurement` in one.
Result<Measurement> measure_file(const std::string& step_path, const MeasureRequest& request,
                                 const WorkerLimits& limits = {});

/// The same for shapes of a CAD program.
Result<Measurement> measure_shapes(const std::vector<ShapeText>& shapes, const std::string& label,
                                   const MeasureRequest& request, const WorkerLimits& limits = {});

}  // namespace corefeed::worker
