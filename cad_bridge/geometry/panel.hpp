// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <vector>

#include "cad_bridge/geometry/blockers.hpp"
#include "cad_bridge/geometry/channels.hpp"
#include "cad_bridge/geometry/findings.hpp"

namespace corefeed::geometry {

/// A cut-out with what is needed to name it and to look through it.
struct PanelHole {
  Cutout cutout;                    ///< nothing blocked yet, no name
  View view;                        ///< lengths in mm
  std::vector<int> walls;           ///< faces of the panel
  std::vector<TopoDS_Face> covers;  ///< planar faces over its mouths on either side, where they are planar
};

/// The cut-outs of a panel that is oriented outward, from its through holes; like holes between inclined
/// blades become one.
std::vector<PanelHole> measure_holes(const TopoDS_Shape& panel, const std::vector<Channel>& channels);

}  // namespace corefeed::geometry
