// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tests/support/typical_element.hpp"

/// What a law called alone asks of the pressure, over the velocity in its smallest section.
namespace corefeed::testing {

inline double flow_at(const LawCase& law, double velocity) {
  return law.outside.density * velocity * section_of(law);
}

/// Pressure difference across the element without the outer stream: what the flow costs, Pa. An inlet's
/// boundary pressure may follow its flow (a boundary layer swallowed), a vent's does not.
template <class S>
S demand(const losses::Terms<S>& terms, losses::Ends ends) {
  const S loss = terms.pressure_loss();
  const S without = loss - terms.boundary;
  return ends == losses::Ends::no_from ? without : loss;
}

inline double demand_at(LawCase law, double velocity) {
  law.state.mass_flow = flow_at(law, velocity);
  return demand(law.terms(), law.kind().ends);
}

/// Slope of the demand by the flow, Pa s/kg.
inline double slope_at(LawCase law, double velocity) {
  law.state.mass_flow = flow_at(law, velocity);
  return demand(law.derivative(0), law.kind().ends).derivatives()[0];
}

/// Whether the kind says that the loss rises with the flow for these numbers.
inline bool is_monotone(const LawCase& law) {
  const losses::Kind& kind = law.kind();
  return kind.monotone_of == nullptr ? kind.monotone : kind.monotone_of(law.values());
}

}  // namespace corefeed::testing
