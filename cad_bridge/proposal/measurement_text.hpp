// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::proposal {

/// What was measured, for a person: parts, openings, cut-outs with what stands before them, cores, gaps,
/// length, narrowest section, pieces with the reason for each cut, a short table of areas along the duct.
std::string measurement_text(const worker::Measurement& measurement);

}  // namespace corefeed::proposal
