// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/zones.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Key;

bool is_given(const Numbers& numbers, std::size_t key) { return (numbers.given >> key & 1U) != 0; }

/// The whole that an element names is a core of its own.
bool check_whole(Reader& reader, const Model& model, const Element& zone) {
  const std::string pointer = pointer_join(zone.pointer, "part_of");
  const Element* whole = model.find_element(zone.whole);
  if (whole == nullptr || whole->numbers.kind != zone.numbers.kind) {
    std::vector<std::string_view> known;
    for (const Element& one : model.elements) {
      if (one.numbers.kind == zone.numbers.kind && one.whole.empty()) known.push_back(one.name);
    }
    reader.error(pointer, "unknown_name",
                 fmt::format("no {} is called {}{}", zone.numbers.kind->name, quoted(zone.whole),
                             suggestion(zone.whole, known)));
    return false;
  }
  if (whole->whole.empty()) return true;
  reader.error(pointer, "contradiction",
               fmt::format("{} is itself a part of {}; name {} here", quoted(zone.whole),
                           quoted(whole->whole), quoted(whole->whole)));
  return false;
}

void check_own_numbers(Reader& reader, const Element& zone) {
  if (!is_given(zone.numbers, share_key(*zone.numbers.kind))) {
    reader.error(zone.pointer, "missing_key",
                 fmt::format("a part of {} needs its \"share\" of it, such as 0.2", quoted(zone.whole)));
  }
  for (std::size_t i = 0; i < zone.numbers.kind->keys.size(); ++i) {
    const Key& key = zone.numbers.kind->keys[i];
    if (!is_given(zone.numbers, i) || key.own_of_part) continue;
    reader.error(
        zone.pointer, "conflicting_keys",
        fmt::format("a part takes {} from {}; leave it out here", quoted(key.name), quoted(zone.whole)));
  }
}

}  // namespace

std::size_t share_key(const losses::Kind& kind) { return losses::find_key(kind, "share"); }

std::vector<std::size_t> zones_of(const Model& model, const Element& whole) {
  std::vector<std::size_t> zones;
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    if (model.elements[e].whole == whole.name) zones.push_back(e);
  }
  return zones;
}

double share_left(const Model& model, const Element& whole) {
  double left = 1.0;
  for (const std::size_t zone : zones_of(model, whole)) {
    left -= model.elements[zone].numbers.value[share_key(*whole.numbers.kind)];
  }
  return left;
}

Numbers zone_numbers(const Model& model, const Element& zone) {
  const Element* whole = model.find_element(zone.whole);
  Numbers numbers = whole->numbers;
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    if (!is_given(zone.numbers, i)) continue;
    numbers.value[i] = zone.numbers.value[i];
    numbers.given |= std::uint64_t{1} << i;
  }
  return numbers;
}

void check_parts(Reader& reader, const Model& model) {
  for (const Element& element : model.elements) {
    if (element.whole.empty()) {
      const double left = zones_of(model, element).empty() ? 1.0 : share_left(model, element);
      if (left > 1e-6) continue;
      reader.error(element.pointer, "contradiction",
                   fmt::format("the parts of {} take {:.4g} of it; together they have to leave some of it, "
                               "which lies between its own ends",
                               quoted(element.name), 1.0 - left));
    } else if (check_whole(reader, model, element)) {
      check_own_numbers(reader, element);
    }
  }
}

}  // namespace corefeed::model
