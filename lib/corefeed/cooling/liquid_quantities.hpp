// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/cooling/quantities.hpp"

/// Numbers of loops that are networks and of the elements in which their liquids give or take heat, as
/// functions of the unknowns. Private to the library's sources.
namespace corefeed::cooling {

struct NumberRow {
  std::string_view name;
  units::Quantity quantity;
};

/// What an element of a loop reports besides the numbers of its law; empty where no heat passes.
std::vector<NumberRow> liquid_rows(const Case& problem, std::size_t element);

/// The function behind one of these rows.
network::Function liquid_function(const Solved& solved, int element, std::string_view what);

/// temperature, temperature_cold, flow, heat or boiling_margin of a loop that is a network.
std::optional<network::Function> network_loop_function(const Solved& solved, int loop, std::string_view what);

/// How evenly the headers feed the tubes: no quantity with derivatives, since the ladder of the headers is
/// solved by itself, at the flow found.
void add_header_numbers(const Solved& solved, int element, ElementState& state);

}  // namespace corefeed::cooling
