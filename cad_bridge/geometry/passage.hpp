// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <array>
#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "corefeed/result.hpp"

/// A passage (the air inside a duct) as the kernel sees it, and what is measured along it. Kernel shapes are
/// in mm; every number of these structs is in SI units (m, m2, m3, rad) and in the file's root frame.
namespace corefeed::geometry {

using Point = std::array<double, 3>;  ///< m
using Direction = std::array<double, 3>;
using Curve = std::vector<Point>;  ///< corners of a curve to draw, m; not for measuring

/// A body that stands close before or behind an opening.
struct Blocker {
  std::string part;
  double gap = 0;              ///< m along the opening's normal, mean over the covered part; 0 in the opening
  double share = 0;            ///< covered part of the opening, 0..1
  double open_perimeter = 0;   ///< m of the covered part's outline through which air can reach the gap
  std::vector<Curve> covered;  ///< outlines of the covered part, in the plane of the opening
};

/// An end of a passage.
struct Opening {
  std::string name;  ///< `<element>.<end>` of its port, else its face's name, else "opening 1", ...
  TopoDS_Face face;  ///< the planar end face of the flow volume
  double area = 0;   ///< m2, from the exact edges of the inner rim
  double perimeter = 0;
  double hydraulic_diameter = 0;
  Point center{};
  Direction normal{};    ///< unit, out of the passage
  double free_area = 0;  ///< m2, what is blocked left out
  std::vector<Blocker> blocked_by;
  std::vector<Curve> outlines;  ///< of the face
};

/// A closed flow volume: wall faces and ends.
struct Passage {
  TopoDS_Shape solid;  ///< mm, placed in the root frame
  std::vector<Opening> openings;
};

/// One section normal to the centreline.
struct Station {
  double distance = 0;  ///< m along the centreline from the first opening's centre
  double area = 0;
  double perimeter = 0;
  double hydraulic_diameter = 0;
  Point center{};       ///< centre of area
  Direction tangent{};  ///< unit, from `from` to `to`
  int loops = 1;        ///< closed curves counted
  double aspect = 1;    ///< smaller over larger side of the section's equivalent rectangle or ellipse
  double height_along_bend_axis = 0;  ///< extent normal to the plane of curvature, m; 0 where straight
  double width_in_bend_plane = 0;     ///< extent in the plane of curvature, m; 0 where straight
  bool round = false;  ///< the section is an ellipse-like curve rather than a rectangle-like one
  std::vector<Curve> outlines;
};

/// A stretch of one kind, with the keys of that element kind as SI numbers.
struct Piece {
  std::string kind;  ///< "duct", "bend", "diffuser", "contraction", "step"
  double from = 0;   ///< distances along the centreline, m
  double to = 0;
  std::map<std::string, double> numbers;       ///< e.g. {"length", ..}, {"area", ..}, {"angle", ..}
  std::map<std::string, std::string> choices;  ///< e.g. {"shape", "conical"}, {"style", "smooth"}
  std::string reason;                          ///< why the path was cut here, in words
};

struct Path {
  std::string from;  ///< names of the openings
  std::string to;
  double length = 0;
  double narrowest_distance = 0;
  double narrowest_area = 0;
  std::vector<Curve> narrowest_outlines;
  std::vector<Station> stations;  ///< the stations asked for
  std::vector<Piece> pieces;
};

struct PathOptions {
  int sections = 50;           ///< equally spaced, both ends included
  std::vector<double> shares;  ///< further stations at these shares (0..1) of the length
};

/// Follows the centreline from one opening to the other, measures the stations and divides the path into
/// pieces. Errors (status geometry): no_path, not_closed, section_failed, each with a sentence that names the
/// place in coordinates.
Result<Path> trace_path(const Passage& passage, std::size_t from, std::size_t to, const PathOptions& options);

}  // namespace corefeed::geometry
