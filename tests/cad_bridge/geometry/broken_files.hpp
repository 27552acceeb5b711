// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <random>
#include <string>
#include <string_view>

/// STEP files with faults planted in them.
namespace corefeed::geometry::testing {

/// Draws the same numbers everywhere, unlike the standard distributions.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  std::size_t below(std::size_t count) {
    return count == 0 ? 0 : static_cast<std::size_t>(engine_() % count);
  }

 private:
  std::mt19937_64 engine_;
};

/// One of eleven kinds of fault, at random places: cut, bytes changed, lines dropped, doubled or swapped,
/// numbers and references replaced, text of another place pasted in, brackets broken, words of the schema
/// swapped. `kind` says which.
std::string mutated(std::string_view step, Dice& dice, std::string& kind);

/// The same text with the first match of `from` (from `behind` on) replaced; unchanged where there is none.
std::string with(std::string step, std::string_view from, std::string_view to);

}  // namespace corefeed::geometry::testing
