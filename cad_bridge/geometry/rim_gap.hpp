// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "cad_bridge/geometry/cores.hpp"
#include "cad_bridge/geometry/passage.hpp"

namespace corefeed::geometry {

/// The gap between the end of a duct and a core before it; nothing where the core does not stand there: the
/// end must face it and overlap its face, with a mean gap of less than a quarter of the end's hydraulic
/// diameter. `duct` is the part's name.
std::optional<RimGap> rim_gap(const std::string& duct, const Opening& end, const std::string& core_name,
                              const MeasuredCore& core);

}  // namespace corefeed::geometry
