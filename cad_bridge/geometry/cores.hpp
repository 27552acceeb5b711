// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "cad_bridge/geometry/findings.hpp"
#include "cad_bridge/geometry/triangles.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// A solid of a core with the last component of its path.
struct CoreMember {
  std::string name;
  TopoDS_Shape shape;  ///< mm
};

/// A core measured, with the outlines of its face in the middle plane of the block (mm).
struct MeasuredCore {
  CoreBlock block;
  std::vector<std::vector<Vec3>> face;
  std::vector<Triangle> triangles;  ///< of all members
};

/// One solid: its largest pair of parallel planar faces. Several: the rectangle between the inner faces of
/// the tanks and of the side plates, fins and tubes included; depth and middle from the tubes (the fins where
/// no member is named a tube). Members are told by words of their names: tank or header; tube; fin; plate or
/// side. Error no_core_face where there is no such pair, or no two tanks and no tubes.
Result<MeasuredCore> measure_core(const std::string& part, const std::vector<CoreMember>& members);

}  // namespace corefeed::geometry
