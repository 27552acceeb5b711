// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/passage.hpp"

namespace corefeed::geometry {

/// The paths through a passage with more than two ends: one for each pair of trunk and branch. The trunk is
/// the end whose name says so, else the only entry among exits or the only exit among entries, else the
/// largest end. At a split the line goes straight from the center of the last common section to that of the
/// branch's first; that step is a piece of kind "junction".
struct BranchedPaths {
  std::vector<Path> paths;
  std::size_t trunk = 0;      ///< index of the opening
  bool assumed = false;       ///< nothing but its size tells the trunk and the direction
  std::vector<Issue> errors;  ///< of branches that could not be followed
};
BranchedPaths trace_branches(const Passage& passage, const PathOptions& options);

}  // namespace corefeed::geometry
