// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/close_passage.hpp"
#include "cad_bridge/geometry/panel.hpp"
#include "cad_bridge/geometry/thin_wall.hpp"

namespace corefeed::geometry {

/// What a body is by its shape alone, before names and ports have their say.
struct BodyShape {
  ThinWall wall;                        ///< of a solid
  std::vector<ClosedPassage> passages;  ///< of a sheet part or of loose surfaces
  std::vector<PanelHole> holes;         ///< of a panel
  std::vector<Issue> faults;            ///< why a passage is missing

  /// Flat faces over its ends or holes, on which ports may lie.
  std::vector<TopoDS_Face> caps() const;
};

/// Of every body, in their order. Ports and bodies that say they are air are not looked at; a body that the
/// kernel fails on is as if it had no holes.
std::vector<BodyShape> look_at(const std::vector<Body>& bodies);

}  // namespace corefeed::geometry
