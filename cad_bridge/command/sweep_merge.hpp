// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::command {

struct Merged {
  std::size_t rows = 0;
  std::size_t solved = 0;
};

/// Joins the files of all slices of one sweep, in any order, to the file that one run without slices writes,
/// byte by byte. Errors: mixed_formats, other_sweep (what differs is named), missing_slice, duplicate_slice,
/// incomplete (status input), and those of `read_facts` and `SweepFile`.
Result<Merged> merge_slices(const std::vector<std::string>& files, const std::string& output);

}  // namespace corefeed::command
