// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/losses/kind.hpp"

/// A kind's row in words, for the terminal and for Markdown alike. Private to the room.
namespace corefeed::reports {

/// One key; numbers in engineer's units.
struct KeyWords {
  std::string name;
  std::string symbol;
  std::string unit;
  std::string need;     ///< "required", "here or by point", "optional" or the standard value
  std::string bounds;   ///< "over 0 to 1", "a word", "name of a core"
  std::string sigma;    ///< "5 %"; empty where it counts as exact
  std::string meaning;  ///< with the words to choose from
  std::string source;   ///< with its tag; empty where none is needed
};
KeyWords words_of(const losses::Key& key);

/// A source followed by how far it can be trusted, unless it says so itself.
std::string source_words(std::string_view source, Tag tag);

/// "read in the source", "from memory of the source, not read", ...
std::string_view words_of(Tag tag);

/// Where an element of the kind may stand.
std::string place_words(const losses::Kind& kind);

/// Rules between keys, one sentence each.
std::vector<std::string> rule_words(const losses::Kind& kind);

/// Ranges outside of which a result carries a warning.
std::vector<std::string> range_words(const losses::Kind& kind);

/// What an element of the kind reports, its flow and pressure_loss first: name, unit, meaning.
std::vector<std::vector<std::string>> reported_words(const losses::Kind& kind);

/// A small worked value, computed by the law when it is asked for; empty for a kind without a law.
std::string worked_words(const losses::Kind& kind);

/// "20 %"
std::string percent(double share);

}  // namespace corefeed::reports
