// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <vector>

#include "cad_bridge/geometry/channels.hpp"

namespace corefeed::geometry {

/// What a solid of thin sheet is, by its through holes.
struct ThinWall {
  enum class Kind { none, sheet_part, panel };
  Kind kind = Kind::none;
  TopoDS_Shape solid;             ///< oriented outward
  double thickness = 0;           ///< mm, mean
  std::vector<Channel> passages;  ///< of a sheet part: the holes that are ducts
  std::vector<Channel> holes;     ///< the others: cut-outs, bolt holes
};

/// A wall round a passage, the hole being longer than five thicknesses and a fifth of its hydraulic diameter,
/// is a sheet part; a sheet with holes and no passage is a panel. The mean thickness must be below a tenth of
/// the passage's diameter or of the panel's middle dimension. `may_be_panel` false leaves panels out: a flat
/// duct's volume with a vane right across it has the same shape.
ThinWall thin_wall_of(const TopoDS_Shape& solid, bool may_be_panel);

}  // namespace corefeed::geometry
