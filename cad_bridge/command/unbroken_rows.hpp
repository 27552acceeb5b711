// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "cad_bridge/command/sweep_file.hpp"
#include "corefeed/model/sha1.hpp"

namespace corefeed::command {

/// How far a file of rows goes without a gap.
struct Unbroken {
  std::size_t rows = 0;  ///< of whole blocks
  std::size_t solved = 0;
  std::uint64_t bytes = 0;
  model::Sha1 hash;  ///< of these bytes
  bool has_header = false;
  bool goes_on = false;  ///< something stands behind them
};

Unbroken unbroken_rows(const std::string& path, const RowsWanted& wanted);

}  // namespace corefeed::command
