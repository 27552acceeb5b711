// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/cooling/case.hpp"
#include "corefeed/network/network.hpp"

/// Networks to measure speed on: seeded, of the library's own laws, any size.
namespace corefeed::benchmarks {

/// 33 elements and 15 nodes of an invented car: nose and side ducts, a radiator in six zones, an oil cooler
/// in three, fans, flap, leaks, three vents; two loops. The seed moves every number by up to 15 %.
cooling::Case car(unsigned seed);

/// Two rails joined by rungs, `elements` in all.
network::Network ladder(int elements, unsigned seed);

/// Square or cubic lattice of about `elements` elements between two fixed pressures: nine tenths plain
/// losses, one tenth ducts. Loss coefficients spread over this many decades.
network::Network grid(int dimensions, int elements, double decades, unsigned seed);

}  // namespace corefeed::benchmarks
