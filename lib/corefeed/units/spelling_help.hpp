// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

/// What to tell a user whose unit is not in the table. Internal to the room.
namespace corefeed::units {

/// Number of single-character edits (insert, delete, replace, swap of neighbors) that turn `a` into `b`,
/// counted in bytes; at most `limit + 1` is returned. Words beyond 40 bytes count as far apart.
int edit_distance(std::string_view a, std::string_view b, int limit);

/// `has the unknown unit "kpa"; did you mean "kPa"?`, to follow the quoted quantity.
std::string unknown_unit_text(std::string_view word);

}  // namespace corefeed::units
