// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/kind.hpp"

#include <cmath>

namespace corefeed::losses {

const Kind* find_kind(std::string_view name) {
  for (const Kind* kind : kinds()) {
    if (kind->name == name) return kind;
  }
  return nullptr;
}

std::size_t find_key(const Kind& kind, std::string_view name) {
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    if (kind.keys[i].name == name) return i;
  }
  return npos;
}

double sigma_of(const Kind& kind, std::size_t key, const Values& values) {
  const Key& row = kind.keys[key];
  const Spread spread = row.spread_of != nullptr ? row.spread_of(values) : row.spread;
  return std::hypot(spread.relative * values.number[key], spread.absolute);
}

}  // namespace corefeed::losses
