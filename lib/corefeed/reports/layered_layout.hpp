// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/reports/svg.hpp"

/// Places for a graph without cycles in layers from left to right. Private to the room.
namespace corefeed::reports {

struct LayoutVertex {
  double width = 0;  ///< px
  double height = 0;
  bool last = false;  ///< belongs to the right edge
};

struct LayoutLink {
  std::size_t from = 0;  ///< the one further left
  std::size_t to = 0;
  double width = 1;  ///< px of its line; links side by side keep their widths apart
};

/// Lengths in px, y downward.
struct Layout {
  std::vector<PlanePoint> centers;              ///< by vertex
  std::vector<std::vector<PlanePoint>> routes;  ///< by link, left to right; consecutive points are joined
  double width = 0;
  double height = 0;
};

/// Layers by the longest way from the left edge; in a layer, sorted by the mean place of the neighbors
/// (barycenters, swept to and fro, fewest crossings kept) and set as straight as the room between them
/// allows. Links that pass layers get a lane of their own, so that no line runs through a vertex. Links must
/// have no cycle.
Layout layered_layout(const std::vector<LayoutVertex>& vertices, const std::vector<LayoutLink>& links);

}  // namespace corefeed::reports
