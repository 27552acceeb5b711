// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "corefeed/network/network.hpp"

/// A slow second way to solve small networks, from the laws alone: no system, no Jacobian, no Newton.
namespace corefeed::fuzz {

struct SecondWay {
  std::vector<double> flow;      ///< by element, kg/s
  std::vector<double> pressure;  ///< by node, Pa above ambient
};

/// Solves a network of one temperature whose losses all rise with their flow and read no other's, and which
/// has at most two nodes without a given pressure: a root in each node's pressure around a root in each
/// element's flow. Nothing for other networks, or where a bracket is not found.
std::optional<SecondWay> solve_by_nested_roots(const network::Network& network);

/// Pressure that is left over between an element's ends when it carries this flow, Pa.
double left_over(const network::Network& network, const SecondWay& state, std::size_t element, double flow);

}  // namespace corefeed::fuzz
