// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <iosfwd>
#include <optional>
#include <string>

#include "cad_bridge/geometry/cad_file.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// Reads a STEP text with its names, layers and colors. The kernel's process-wide settings are as before
/// afterwards. Errors: not_step, dangling_reference, no_unit, mixed_units, unknown_unit, nothing_transferred.
/// May throw what the kernel throws.
Result<CadFile> read_step(std::istream& step, const std::optional<std::string>& assume_unit);

}  // namespace corefeed::geometry
