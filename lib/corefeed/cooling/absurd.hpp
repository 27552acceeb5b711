// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace corefeed::cooling {

/// K. No liquid of a car survives this: where the equations go beyond, they give no temperature, only the
/// news that the heat finds no way out. A bound of ours.
inline constexpr double absurd_temperature = 573.15;

}  // namespace corefeed::cooling
