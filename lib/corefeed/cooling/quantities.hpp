// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/cooling/coupling.hpp"
#include "corefeed/network/assembly.hpp"

/// Every number of a solution as a function of the unknowns, so that values and exact derivatives come from
/// one place. Private to the library's sources.
namespace corefeed::cooling {

/// All that a solved case is made of.
struct Solved {
  Case problem;
  network::Assembly assembly;
  LoopPlaces loops;
  std::vector<double> x;
};

ElementState element_state(const Solved& solved, int element);
std::vector<Number> car_state(const Solved& solved);
LoopState loop_state(const Solved& solved, int loop);

/// The function behind a quantity "NAME.what", or nothing where there is no such quantity.
std::optional<network::Function> quantity_function(const Solved& solved, std::string_view name);

}  // namespace corefeed::cooling
