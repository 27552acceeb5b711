// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::proposal {

/// What was measured, as one page to look at: each duct in two views with its sections and openings, the area
/// along its center line, tables of openings, pieces, cut-outs, cores and gaps. One HTML file without scripts
/// or files from elsewhere. Sections are drawn as circles of their area.
std::string measurement_page(const worker::Measurement& measurement);

}  // namespace corefeed::proposal
