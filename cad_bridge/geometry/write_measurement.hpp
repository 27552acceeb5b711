// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/findings.hpp"
#include "cad_bridge/geometry/passage.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// What was measured of one instance.
struct MeasuredPart {
  std::string name;
  std::string kind;              ///< "flow volume", "sheet part", "shell", "panel", "core" or "body"
  std::optional<double> volume;  ///< of the air, m3; none where there is no passage
  std::vector<Opening> openings;
  std::vector<FaceMark> opening_marks;  ///< of their faces, in the same order
  std::vector<Path> paths;
  std::vector<Cutout> cutouts;
  std::optional<CoreBlock> core;
  std::vector<Curve> edges;  ///< of the shape, to draw
};

struct Measurement {
  std::string file;
  std::string unit;
  std::array<Point, 2> bounding_box{};
  std::vector<MeasuredPart> parts;
  std::vector<RimGap> gaps;
  std::vector<Issue> warnings;
};

/// The measurement document: JSON on one line, keys in the documented order, SI units, numbers in the
/// shortest form that reads back to the same bits. Error kernel_failure where a number is not finite.
Result<std::string> write_measurement(const Measurement& measurement);

/// Layers and colors of openings that have any: [{"part", "opening", "layers", "color"}].
std::string write_marks(const Measurement& measurement);

/// The curves to draw, in the order of the document's lists: {"parts": [{"edges", "openings": [{"outlines",
/// "covered": [outlines of each blocker]}], "paths": [{"stations": [outlines of each], "narrowest":
/// outlines}], "cutouts": as openings, "core": outlines}]}. A curve is a flat list of coordinates x, y, z, x,
/// .. in whole micrometers; curves that are not finite are left out, and all of them where they would fill
/// more than 32 MB.
std::string write_drawing(const Measurement& measurement);

}  // namespace corefeed::geometry
