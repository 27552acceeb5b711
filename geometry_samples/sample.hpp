// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <gp_Dir.hxx>
#include <gp_Pnt.hxx>
#include <gp_Trsf.hxx>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace corefeed::geometry_samples {

// Lengths are millimeters and angles radians, as in the kernel; only the truth file is in SI units.

struct End {
  std::string name;
  double area = 0.0;
  double perimeter = 0.0;
  gp_Pnt center;
  gp_Dir normal;  // out of the passage
};

struct Station {
  double distance = 0.0;
  double area = 0.0;
  double perimeter = 0.0;
  gp_Pnt center;
  gp_Dir tangent;
};

struct Bend {
  double from = 0.0;
  double to = 0.0;
  double angle = 0.0;
  double radius = 0.0;
};

struct Narrowest {
  double distance = 0.0;
  double area = 0.0;
};

/// What is known about a part without measuring it.
struct Truth {
  std::string formula;
  double volume = 0.0;
  double length = 0.0;
  std::vector<End> ends;  // inlet first
  std::vector<Bend> bends;
  std::vector<Station> stations;
  bool free_form =
      false;  // walls neither analytic nor ruled, center line of varying curvature: no bends stated
  std::optional<double> cone_angle;
  std::optional<Narrowest> narrowest;
};

struct Body {
  std::string name;  // product name in the file
  TopoDS_Shape shape;
  gp_Trsf placement;
  std::vector<std::pair<std::string, TopoDS_Face>> named_faces;
  std::string group = {};                   // sub-assembly that holds it; empty: the root
  std::optional<double> solid_volume = {};  // of the material or of the air
};

enum class LengthUnit { millimeter, inch, meter };

/// One STEP file: its first body is the flow volume that `truth` describes, or `expected` says what is to be
/// measured in it.
struct Sample {
  std::string name;      // of the files, without ending
  std::string assembly;  // name of the root assembly; empty: the file holds one part alone
  LengthUnit unit = LengthUnit::millimeter;
  std::vector<Body> bodies;
  Truth truth;
  // A part of the measurement's own document, in SI units and in the root frame: every key that stands here
  // has to be found with this value. Null for a flow volume.
  nlohmann::ordered_json expected = nullptr;
};

std::vector<Sample> plain_samples();
Sample rectangular_to_round();
std::vector<Sample> car_samples();
std::vector<Sample> vent_samples();
std::vector<Sample> core_samples();
std::vector<Sample> wall_samples();
std::vector<Sample> branched_samples();
std::vector<Sample> free_form_samples();
std::vector<Sample> curved_panel_samples();
std::vector<Sample> guarded_samples();
std::vector<Sample> vaned_samples();
std::vector<Sample> front_end_samples();

/// All of the above, in the order in which they are written.
std::vector<Sample> all_samples();

}  // namespace corefeed::geometry_samples
