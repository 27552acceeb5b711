// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cad_bridge/worker/child.hpp"
#include "corefeed/result.hpp"

namespace corefeed::worker {

/// A STEP file, opened once: what was looked through is what the measuring program gets.
struct StepBytes {
  Descriptor file;  ///< read-only, at its first byte
  std::string text;
};

/// Opens and reads a file. Folders, pipes and devices are refused before they are opened, so that nothing
/// waits for a writer. Errors: missing_file, no_regular_file (input); unreadable_file, file_too_large
/// (geometry).
Result<StepBytes> read_step_bytes(const std::string& path, std::size_t most_bytes);

}  // namespace corefeed::worker
