// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/write_measurement.hpp"

namespace corefeed::geometry {

/// Measures what a file holds: tells its parts, measures each, then what stands before openings and between
/// ducts and cores. Errors: no_solid, no_flow_volume, unknown_part, and those of the parts where no part came
/// through whole; else these are warnings.
Result<Measurement> survey(const CadFile& file, const MeasureRequest& request);

}  // namespace corefeed::geometry
