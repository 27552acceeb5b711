// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Key;
using losses::Kind;
using losses::Need;
using losses::Rule;

std::vector<std::string_view> top_keys(const Kind& kind, const std::vector<std::string_view>& besides) {
  std::vector<std::string_view> known = besides;
  for (const Key& key : kind.keys) {
    const std::string_view group = group_of(key.name);
    const std::string_view top = group.empty() ? key.name : group;
    if (std::find(known.begin(), known.end(), top) == known.end()) known.push_back(top);
  }
  return known;
}

/// A curve "curve.points" may stand in a CSV file that "curve.table" names.
constexpr std::string_view table_leaf = "table";

std::vector<std::string_view> leaves(const Kind& kind, std::string_view group) {
  std::vector<std::string_view> known;
  for (const Key& key : kind.keys) {
    if (group_of(key.name) != group) continue;
    known.push_back(leaf_of(key.name));
    if (key.curve != nullptr) known.push_back(table_leaf);
  }
  return known;
}

/// A key or, for an object's name, any key inside it.
bool stands(const Numbers& numbers, std::string_view name) {
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    const std::string_view key = numbers.kind->keys[i].name;
    if ((key == name || group_of(key) == name) && (numbers.given >> i & 1U) != 0) return true;
  }
  return false;
}

void read_key(Reader& reader, const Spot& spot, std::size_t index, Numbers& numbers) {
  const Key& key = numbers.kind->keys[index];
  // Also when the value is wrong, which is reported once: it is not missing as well.
  numbers.given |= std::uint64_t{1} << index;
  if (key.refers != losses::Refers::nothing) {
    // The name itself is taken by the caller.
    reader.word(spot);
    return;
  }
  if (key.curve != nullptr && !key.curve->beside.empty()) {
    numbers.tests[index] = read_test(reader, spot, key);
    return;
  }
  if (key.curve != nullptr) {
    numbers.curves.resize(numbers.kind->keys.size());
    numbers.curves[index] = read_curve(reader, spot, key);
    return;
  }
  if (!key.choices.empty()) {
    const auto choice = reader.choice(spot, key.choices);
    if (!choice) return;
    numbers.value[index] = static_cast<double>(*choice);
  } else {
    OwnBand band;
    const auto number = reader.number(spot, key.quantity, &band);
    if (!number || !reader.within(spot, *number, key)) return;
    numbers.value[index] = *number;
    if (band.sigma || !band.source.empty()) numbers.bands[index] = band;
  }
}

void report_missing(Reader& reader, const std::string& pointer, const Key& key) {
  if (reader.is_meant(pointer, key.name)) return;
  const units::QuantityInfo& info = units::info(key.quantity);
  std::string example = fmt::format("\"{}\"", info.example);
  if (key.quantity == units::Quantity::number) example = std::string(info.example);
  if (!key.choices.empty()) example = quoted(key.choices.front());
  if (key.curve != nullptr) {
    example = fmt::format("a list of {{\"{}\", \"{}\"}} or the name of a CSV file under \"table\"",
                          key.curve->abscissas.front().name, key.curve->ordinate.name);
  }
  reader.error(
      pointer, "missing_key",
      fmt::format("the key {} is missing: {}; write it such as {}", quoted(key.name), key.meaning, example));
}

void check_rule(Reader& reader, const std::string& pointer, const Rule& rule, const Numbers& numbers) {
  const bool misspelt =
      std::any_of(rule.keys.begin(), rule.keys.end(),
                  [&reader, &pointer](std::string_view key) { return reader.is_meant(pointer, key); });
  if (misspelt) return;
  std::vector<std::string_view> present;
  for (const std::string_view key : rule.keys) {
    if (stands(numbers, key)) present.push_back(key);
  }
  const std::string all = fmt::format("{}", fmt::join(rule.keys, ", "));
  switch (rule.kind) {
    case Rule::Kind::exactly_one:
      if (present.empty()) {
        reader.error(pointer, "missing_key", fmt::format("one of the keys {} is needed", all));
      }
      [[fallthrough]];
    case Rule::Kind::at_most_one:
      if (present.size() > 1) {
        reader.error(pointer, "conflicting_keys",
                     fmt::format("the keys {} stand together; keep one of them", fmt::join(present, ", ")));
      }
      break;
    case Rule::Kind::any_of:
      if (present.empty()) {
        reader.error(pointer, "missing_key", fmt::format("at least one of the keys {} is needed", all));
      }
      break;
    case Rule::Kind::needs:
      if (!stands(numbers, rule.keys.front())) break;
      for (std::size_t i = 1; i < rule.keys.size(); ++i) {
        if (stands(numbers, rule.keys[i])) continue;
        reader.error(pointer, "missing_key",
                     fmt::format("{} stands without {}", quoted(rule.keys.front()), quoted(rule.keys[i])));
      }
      break;
    case Rule::Kind::needs_one:
      if (!stands(numbers, rule.keys.front()) || present.size() > 1) break;
      reader.error(pointer, "missing_key",
                   fmt::format("{} stands without any of {}", quoted(rule.keys.front()),
                               fmt::join(rule.keys.begin() + 1, rule.keys.end(), ", ")));
      break;
  }
}

}  // namespace

std::string_view group_of(std::string_view key) {
  const std::size_t dot = key.find('.');
  return dot == std::string_view::npos ? std::string_view() : key.substr(0, dot);
}

std::string_view leaf_of(std::string_view key) {
  const std::size_t dot = key.find('.');
  return dot == std::string_view::npos ? key : key.substr(dot + 1);
}

void read_numbers(Reader& reader, const Spot& object, const Kind& kind,
                  const std::vector<std::string_view>& besides, Numbers& numbers) {
  numbers.kind = &kind;
  numbers.value.assign(kind.keys.size(), 0.0);
  reader.refuse_unknown(object, top_keys(kind, besides));
  std::vector<std::string_view> opened;
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    const Key& key = kind.keys[i];
    if (key.need == Need::standard) numbers.value[i] = key.standard;
    Spot holder = object;
    const std::string_view group = group_of(key.name);
    if (!group.empty()) {
      holder = Reader::member(object, group);
      const bool first = std::find(opened.begin(), opened.end(), group) == opened.end();
      if (holder && first) {
        opened.push_back(group);
        if (reader.want(holder, Value::Kind::object)) reader.refuse_unknown(holder, leaves(kind, group));
      }
    }
    Spot spot = Reader::member(holder, leaf_of(key.name));
    if (key.curve != nullptr && !group.empty()) {
      const Spot file = Reader::member(holder, table_leaf);
      if (spot && file) {
        reader.error(
            file.pointer, "conflicting_keys",
            fmt::format("the keys {}, {} stand together; keep one of them", leaf_of(key.name), table_leaf));
      }
      if (file) spot = file;
    }
    if (spot) read_key(reader, spot, i, numbers);
  }
}

namespace {

/// A curve that could not be read has been reported; a law's check would look into it.
bool lacks_curve(const Numbers& numbers, std::size_t index) {
  const losses::CurveForm* form = numbers.kind->keys[index].curve;
  if (form == nullptr || (numbers.given >> index & 1U) == 0) return false;
  return form->beside.empty() ? !numbers.curves[index] : !numbers.tests.at(index);
}

/// A part takes its numbers from the whole, where they are checked.
bool is_part(const Numbers& numbers) {
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    const bool whole = numbers.kind->keys[i].refers == losses::Refers::whole;
    if (whole && (numbers.given >> i & 1U) != 0) return true;
  }
  return false;
}

}  // namespace

void check_numbers(Reader& reader, const std::string& pointer, const Numbers& numbers) {
  if (is_part(numbers)) return;
  const std::size_t before = reader.issues.size();
  bool complete = true;
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    const Key& key = numbers.kind->keys[i];
    const bool given = (numbers.given >> i & 1U) != 0;
    if (key.need != Need::required || key.by_point || given) continue;
    // A misspelt key is missing too, though it is reported as that alone.
    complete = false;
    report_missing(reader, pointer, key);
  }
  for (const Rule& rule : numbers.kind->rules) check_rule(reader, pointer, rule, numbers);
  if (!complete || reader.issues.size() > before || numbers.kind->contradiction == nullptr) return;
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    if (lacks_curve(numbers, i)) return;
  }
  const std::string fault = numbers.kind->contradiction(numbers.values());
  if (!fault.empty()) reader.error(pointer, "contradiction", fault);
}

}  // namespace corefeed::model
