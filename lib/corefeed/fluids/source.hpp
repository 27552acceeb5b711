// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace corefeed {

/// How far a number can be trusted to be the source's own.
enum class Tag {
  read,         ///< found in the source itself
  computed,     ///< exact closed form, or computed here and checked
  from_memory,  ///< recalled from the named source, not read
  closure       ///< chosen here to join known limits; user-editable
};

/// Where a number or law comes from and how good it is.
struct Source {
  std::string_view reference;  ///< author, year, title or table
  std::string_view range;      ///< where it holds, in words
  double band = 0;             ///< relative 1-sigma
  Tag tag = Tag::from_memory;
};

}  // namespace corefeed
