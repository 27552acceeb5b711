// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/result.hpp"

/// A first look at a STEP file (ISO 10303-21) before any modelling kernel sees it. Kernels trust such files:
/// cut ones, circles, absurd numbers and nested copies make them crash, loop or fill the memory. One pass
/// over the bytes and one over the references, linear in time and memory, refuses these.
namespace corefeed::worker {

struct PrescanLimits {
  std::size_t bytes = std::size_t{512} << 20;
  std::size_t entities = 5'000'000;
  std::size_t references = 50'000'000;
  std::uint64_t instances = 100'000;  ///< placed parts; what a car's cooling ducts need lies below 1,000
  std::uint32_t nesting = 64;         ///< assemblies within assemblies
  std::uint32_t chain = 1'000;  ///< references in a row; deeper ones overflow a recursive reader's stack
};

/// What the file says of itself.
struct PrescanReport {
  std::string schema;  ///< first name of FILE_SCHEMA
  std::size_t entities = 0;
  std::size_t references = 0;
  std::uint64_t instances = 0;
  std::uint32_t nesting = 0;
  std::uint32_t chain = 0;
  /// Units of length that a shape's context names, without repeats, in the order met: "mm", "cm", "m", "in",
  /// "ft" or the file's own word. Empty if there is none.
  std::vector<std::string> length_units;
};

/// Errors have the status geometry and a line: empty_file, not_step, cut_file, no_header, no_data,
/// no_entities, unknown_schema, unclosed_comment, unexpected_byte, unexpected_word, bad_word, bad_number,
/// bad_instance_name, unbalanced, number_not_finite, number_too_large, number_too_small, duplicate_instance,
/// dangling_reference, circular_reference, chain_too_long, nested_too_deeply, too_many_instances,
/// too_many_entities, too_many_references, too_many_coordinates, file_too_large. `place.file` is left for the
/// caller.
Result<PrescanReport> prescan_step(std::string_view text, const PrescanLimits& limits = {});

}  // namespace corefeed::worker
