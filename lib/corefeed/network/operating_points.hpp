// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/network/solver.hpp"

/// Further states of a network some of whose losses may fall while a flow rises. Private to the library's
/// sources.
namespace corefeed::network {

struct OperatingPoint {
  std::vector<double> x;
  /// Whether the flow stays there by itself: with the air's inertia in every branch and temperatures held, a
  /// small disturbance dies out.
  bool stable = true;
};

/// Whether any element can give the network several states: a fan with a stall dip, an inlet in a boundary
/// layer, a vent's table that falls, a junction. A diffuser that reads its core's flow does not call for a
/// search.
bool may_have_several(const Network& network);

/// The first of all states is the given one, a solution. Where it may not be the only one the others are
/// looked for: the flow through each such element in turn is held at values over its range while all else is
/// solved; where the law's residual changes its sign there is a state between. A junction is tried from flows
/// turned round in each leg. New states are looked around from like the first. Not proved to be complete.
std::vector<OperatingPoint> operating_points(const Assembly& assembly, const std::vector<double>& solution,
                                             const SolveOptions& options);

}  // namespace corefeed::network
