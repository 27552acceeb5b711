// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/body_shape.hpp"
#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/openings.hpp"
#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/ports.hpp"
#include "cad_bridge/geometry/write_measurement.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// What one part gave: as much as could be measured, and what stood in the way of the rest.
struct PartOutcome {
  MeasuredPart part;
  std::vector<Passage> passages;  ///< with the openings of the part, in their order
  std::vector<View> views;        ///< of the cut-outs, in their order
  std::vector<Issue> errors;      ///< empty where all was measured
  std::vector<Issue> warnings;    ///< direction_assumed, unit_plausibility, narrow_place, ends_ambiguous, ...
};

/// Checks the solid, finds its openings and follows its path. `ports` are the port bodies that lie on it.
PartOutcome measure_flow_volume(const Body& body, const std::vector<FaceName>& ports,
                                const PathOptions& options);

/// The passages of a sheet part or of loose surfaces, their ends named by the ports on them, else by the
/// face around the end.
PartOutcome measure_walls(const Body& body, const BodyShape& shape, const std::vector<BoundPort>& ports,
                          const PathOptions& options);

/// The cut-outs of a panel, named by the ports on them, else by a face of their walls, else "cutout 1", ...
PartOutcome measure_panel(const Body& body, const BodyShape& shape, const std::vector<BoundPort>& ports);

}  // namespace corefeed::geometry
