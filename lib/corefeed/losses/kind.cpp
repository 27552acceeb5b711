// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/kind.hpp"

#include <cmath>
#include <numbers>

namespace corefeed::losses {

const Kind* find_kind(std::string_view name) {
  for (const Kind* kind : kinds()) {
    if (kind->name == name) return kind;
  }
  return nullptr;
}

std::string_view word_of(const Kind& kind) { return kind.word.empty() ? kind.name : kind.word; }

bool may_carry(const Kind& kind, bool liquid) {
  return kind.carries == Carries::either || (kind.carries == Carries::liquid) == liquid;
}

const Kind* find_kind(std::string_view word, bool liquid) {
  for (const Kind* kind : kinds()) {
    if (word_of(*kind) == word && may_carry(*kind, liquid)) return kind;
  }
  return nullptr;
}

bool is_air_core(const Kind& kind) { return kind.heated && kind.carries == Carries::air; }

std::size_t find_key(const Kind& kind, std::string_view name) {
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    if (kind.keys[i].name == name) return i;
  }
  return npos;
}

double end_area(const Kind& kind, const Values& values, bool at_from, Leg leg) {
  const std::string_view side = leg == Leg::straight ? "areas.straight" : "areas.branch";
  const auto number = [&](std::string_view name) {
    const std::size_t key = find_key(kind, name);
    return key != npos && values.has(key) ? values.number[key] : 0.0;
  };
  const double share = number("share") > 0.0 ? number("share") : 1.0;
  for (const std::string_view name :
       {std::string_view(at_from ? "inlet_area" : "outlet_area"), at_from ? "areas.common" : side,
        std::string_view("area"), std::string_view("face_area")}) {
    if (const double area = number(name); area > 0.0) return area * share;
  }
  const double bore = number("bore");
  return 0.25 * std::numbers::pi * bore * bore;
}

double sigma_of(const Kind& kind, std::size_t key, const Values& values) {
  const Key& row = kind.keys[key];
  const Spread spread = row.spread_of != nullptr ? row.spread_of(values) : row.spread;
  return std::hypot(spread.relative * values.number[key], spread.absolute);
}

}  // namespace corefeed::losses
