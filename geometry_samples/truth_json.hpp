// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

/// "mm", "in" or "m".
std::string unit_name(LengthUnit unit);

/// The truth file's content, in SI units and in the root frame of the STEP file.
nlohmann::ordered_json truth_json(const Sample& sample);

}  // namespace corefeed::geometry_samples
