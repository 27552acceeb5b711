// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/network/network.hpp"

/// Elements without a loss, and what they leave open. Private to the library's sources.
namespace corefeed::network {

/// An element of two nodes whose law loses less than a billionth of its dynamic head in either direction, as
/// a screen that is all open or an orifice as wide as its duct. It makes its nodes' pressures equal and lets
/// any flow pass.
bool is_loss_free(const Network& network, const Element& element);

/// Why loss-free elements leave the network without one definite state, by names: they join two nodes whose
/// pressures are both given, which then contradict each other or leave the flow open, or they form a ring,
/// around which any flow may go. "" where they do neither.
std::string loss_free_fault(const Network& network);

}  // namespace corefeed::network
