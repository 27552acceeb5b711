// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <StepData_StepModel.hxx>
#include <optional>
#include <string>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::geometry {

struct FileUnit {
  std::string name;             ///< "mm", "cm", "m", "in" or "ft"
  double scale = 1;             ///< factor that brings the kernel's coordinates to mm; 1 unless assumed
  std::vector<Issue> warnings;  ///< mixed_units
};

/// The length unit that the file's shape representations name. The kernel takes a number without unit for mm,
/// so that a file without units needs `assumed`, and `scale` then tells how to mend the coordinates.
Result<FileUnit> unit_of_file(const Handle(StepData_StepModel) & model,
                              const std::optional<std::string>& assumed);

}  // namespace corefeed::geometry
