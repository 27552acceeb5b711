// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/losses/kind.hpp"

namespace corefeed::losses {

/// What an element of a kind loses with the numbers of its example, in air of 20 degC and 1 atm at rest
/// around (or, for an opening, along) the car. Computed by the law itself.
struct Worked {
  double flow = 0;                 ///< kg/s
  double pressure_loss = 0;        ///< Pa
  std::vector<double> reported{};  ///< by place in `Kind::reported`, SI
};

/// The kind must have a law and an example (assertion).
Worked worked_value(const Kind& kind);

}  // namespace corefeed::losses
