// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

struct Verdict {
  double volume = 0.0;    // the largest deviations, relative
  double openings = 0.0;  // area, perimeter, position and direction
  double sections = 0.0;  // likewise
  std::vector<std::string> faults;
};

/// Reads the sample's STEP file in the directory back and compares it with its truth file.
Verdict verify(const std::string& directory, const Sample& sample);

}  // namespace corefeed::geometry_samples
