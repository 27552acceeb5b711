// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <string>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// What a CAD system attached to a face besides its name.
struct FaceMark {
  std::vector<std::string> layers;
  std::string color;  ///< "#rrggbb", "" where the face has none of its own
};

/// One instance of one body, where it stands in the root frame.
struct Body {
  std::string name;      ///< instance path joined by "/", the root assembly left out; unique among solids
  std::string root;      ///< name of the root assembly, "" where the body is its own root
  std::string product;   ///< name of its product
  std::string own_name;  ///< name of the body itself within its product, often ""
  TopoDS_Shape shape;    ///< mm; a solid, or a compound of loose shells and faces
  std::vector<std::string> face_names;  ///< in the order of `TopExp::MapShapes`; "" where a face has none
  std::vector<FaceMark> face_marks;     ///< likewise

  bool is_solid() const { return shape.ShapeType() == TopAbs_SOLID; }
};

/// What a file holds, before anything is measured.
struct CadFile {
  std::string unit;  ///< of the file: "mm", "cm", "m", "in" or "ft"; the shapes are in mm all the same
  std::vector<Body> bodies;
  std::vector<Issue> warnings;
};

}  // namespace corefeed::geometry
