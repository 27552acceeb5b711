// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "tests/support/law_case.hpp"

/// Coefficients of a law called alone.
namespace corefeed::testing {

/// Mass flow that gives about this velocity in a section of this area.
inline double flow_of(const LawCase& law, double area, double velocity) {
  return law.outside.density * velocity * area;
}

/// Dynamic head in a section of this area at the velocity that the law itself reports, Pa: free of the change
/// of density along the element.
inline double head_of(const LawCase& law, double area) {
  return 0.5 * law.state.mass_flow / area * law.terms().reported[0];
}

inline std::size_t item_place(const LawCase& law, std::string_view item) {
  for (std::size_t i = 0; i < law.kind().items.size(); ++i) {
    if (law.kind().items[i] == item) return i;
  }
  ADD_FAILURE() << law.kind().name << " has no part " << item;
  return 0;
}

/// Loss coefficient of one part of a law on the head of a section. What is left of the rounding that keeps a
/// slope at zero flow is (1e-3/V)^2/2, 5e-9 at 10 m/s.
inline double part_coefficient(LawCase law, std::string_view item, double area, double velocity = 10.0) {
  law.state.mass_flow = flow_of(law, area, velocity);
  return law.terms().item[item_place(law, item)] / head_of(law, area);
}

}  // namespace corefeed::testing
