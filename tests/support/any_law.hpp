// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <rapidcheck.h>

#include <cmath>

#include "tests/support/typical_element.hpp"

/// Elements drawn by RapidCheck, inside a property: what fails shrinks to the plain row of its kind with the
/// fewest numbers changed.
namespace corefeed::testing {

/// A number between two bounds on a grid of a hundredth, by preference near `first`, to which it shrinks.
inline double any_between(double first, double low, double high) {
  const int place = *rc::gen::inRange(0, 101);
  const double towards = *rc::gen::arbitrary<bool>() ? high : low;
  return first + 0.01 * place * (towards - first);
}

/// A row of the kind with its numbers times 0.3 to 3, or as it is where they then contradict each other.
inline LawCase any_law(const losses::Kind& kind) {
  const std::vector<Variant> rows = variants_of(kind);
  const Variant& row = rows[*rc::gen::inRange<std::size_t>(0, rows.size())];
  LawCase law = row.law;
  for (std::size_t i = 0; i < law.numbers.size(); ++i) {
    const losses::Key& key = kind.keys[i];
    if (stays(key, (law.given >> i & 1U) != 0)) continue;
    law.numbers[i] = multiplied(key, law.numbers[i], std::pow(10.0, any_between(0.0, -0.5, 0.5)));
  }
  if (contradicts(law)) law = row.law;
  RC_LOG() << kind.name << ", " << row.name << ":";
  for (std::size_t i = 0; i < law.numbers.size(); ++i) {
    if ((law.given >> i & 1U) != 0) RC_LOG() << " " << kind.keys[i].name << " " << law.numbers[i];
  }
  RC_LOG() << "\n";
  return law;
}

}  // namespace corefeed::testing
