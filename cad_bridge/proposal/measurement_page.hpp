// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::proposal {

/// What was measured, as one page to look at and to work by: each duct in two views with its numbered
/// sections, the sections as cut, the area along its center line; each panel with its cut-outs and what
/// stands behind them; all to scale with dimensions; tables of openings, sections, pieces, cut-outs, cores
/// and gaps. One HTML file without scripts or files from elsewhere. Outlines are drawn where the measurement
/// brought them along.
std::string measurement_page(const worker::Measurement& measurement);

}  // namespace corefeed::proposal
