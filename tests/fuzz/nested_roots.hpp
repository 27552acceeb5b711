// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "corefeed/network/network.hpp"

/// A slow second way to solve small networks, from the laws alone: no system, no Jacobian, no Newton.
namespace corefeed::fuzz {

/// Flows of a network of one temperature whose losses all rise with their flow and read no other's, and which
/// has at most two nodes without a given pressure: a root in each node's pressure around a root in each
/// element's flow. Nothing for other networks, or where a bracket is not found.
std::optional<std::vector<double>> flows_by_nested_roots(const network::Network& network);

}  // namespace corefeed::fuzz
