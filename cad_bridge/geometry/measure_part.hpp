// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/openings.hpp"
#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/write_measurement.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// What one flow volume gave: as much as could be measured, and what stood in the way of the rest.
struct PartOutcome {
  MeasuredPart part;
  std::vector<Issue> errors;  ///< empty where all was measured
  std::vector<Issue>
      warnings;  ///< direction_assumed, branched_passage, unit_plausibility, ends_ambiguous, ...
};

/// Checks the solid, finds its openings and follows its path. `ports` are the port bodies that lie on it.
PartOutcome measure_flow_volume(const Body& body, const std::vector<FaceName>& ports,
                                const PathOptions& options);

}  // namespace corefeed::geometry
