// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace corefeed::geometry_samples {

struct Verdict {
  double volume = 0.0;    // the largest deviations, relative
  double openings = 0.0;  // area, perimeter, position and direction
  double sections = 0.0;  // likewise
  std::vector<std::string> faults;
};

/// Reads `<directory>/<name>.step` back and compares it with `<directory>/<name>.truth.json`.
Verdict verify(const std::string& directory, const std::string& name);

}  // namespace corefeed::geometry_samples
