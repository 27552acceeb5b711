// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/unit_grammar.hpp"

/// What the table knows about each kind of quantity. Internal to the room; users see `info()`.
namespace corefeed::units {

struct Kind {
  Quantity quantity;
  QuantityInfo info;
  std::string_view allowed;  ///< units to offer in messages, parted by ", "
  Dimension dimension;
  unsigned bases = 0;  ///< bases of the factors of the SI unit; a unit text may use no others
};

std::span<const Kind> kinds();
const Kind& kind_of(Quantity quantity);

/// "an area", "a pressure difference".
std::string with_article(std::string_view name);

}  // namespace corefeed::units
