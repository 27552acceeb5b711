// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <string>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// A name for a face of a solid, by its index (from 1, in the order of `TopExp::MapShapes`).
struct FaceName {
  int face = 0;
  std::string name;
};

struct OpeningsFound {
  std::vector<Opening> openings;  ///< entries first, exits last; names are unique
  std::vector<Issue> warnings;    ///< ends_ambiguous, end_left_out, port_not_planar
};

/// The openings of a flow volume that is oriented outward. Always ends: the faces of `ports`, faces named
/// `port:<element>.<end>`, and faces with another name, where the rim allows it and no two of them touch. The
/// others are looked for by shape (ends.hpp). `part` stands in messages. Errors: no_ends, ends_undecided,
/// thin_wall.
Result<OpeningsFound> find_openings(const TopoDS_Shape& solid, const std::vector<std::string>& face_names,
                                    const std::vector<FaceName>& ports, const std::string& part);

/// An end face with its name, "" for none.
struct NamedEnd {
  TopoDS_Face face;
  std::string name;
};

/// Sizes and places of ends that are known: entries first, exits last, names made unique, "opening 1" and so
/// on where there is none.
std::vector<Opening> measure_ends(const std::vector<NamedEnd>& ends);

/// Size and place of one end, SI.
Opening measure_opening(const TopoDS_Face& face, std::string name);

}  // namespace corefeed::geometry
