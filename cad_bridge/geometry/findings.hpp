// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"

/// What is measured besides passages. SI units and the file's root frame throughout.
namespace corefeed::geometry {

/// Like holes in a row, separated by inclined blades.
struct Louvre {
  int blades = 0;
  double blade_angle = 0;  ///< rad from the opening's normal; 0 straight through
  double gross_area = 0;   ///< m2, fronts of the blades included
  double throat_area = 0;  ///< m2, narrowest sections normal to the passages between the blades
};

/// A hole in a panel.
struct Cutout {
  std::string name;
  double area = 0;            ///< m2 of the outer skin continued across the hole
  double projected_area = 0;  ///< size of the rim's vector area on the outer skin
  double perimeter = 0;       ///< of the rim on the outer skin
  double thickness = 0;       ///< distance of the skins at the rim
  Point center{};
  Direction normal{};    ///< unit, out of the outer skin
  double free_area = 0;  ///< projected area (of a louvre: throat area) less what is blocked
  std::vector<Blocker> blocked_by;
  std::optional<Louvre> louvre;
  std::vector<Curve> outlines;  ///< of the holes on the outer skin
};

struct CoreBlock {
  double face_area = 0;
  double free_face_area = 0;    ///< tubes left out, where they are known
  double depth = 0;             ///< along the air
  Point center{};               ///< middle of the block
  Direction normal{};           ///< unit, along the air; either sign
  std::vector<Curve> outlines;  ///< of the face, in the middle plane
};

/// Between the rim of a duct's end and a core.
struct RimGap {
  std::string duct;
  std::string core;
  double rim_length = 0;
  double gap_area = 0;       ///< nearest distance to the core, integrated along the rim
  double face_coverage = 0;  ///< share of the core's face inside the duct end's outline
  double incidence = 0;      ///< rad between the duct end's normal and the core's
};

}  // namespace corefeed::geometry
