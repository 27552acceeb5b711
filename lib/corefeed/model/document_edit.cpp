// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>
#include <optional>
#include <unordered_map>

#include "corefeed/model/document.hpp"

namespace corefeed::model {
namespace {

/// One part of a JSON pointer with its escapes undone; nothing for a "~" that begins no escape.
std::optional<std::string> unescaped(std::string_view part) {
  std::string key;
  for (std::size_t i = 0; i < part.size(); ++i) {
    if (part[i] != '~') {
      key += part[i];
      continue;
    }
    ++i;
    if (i == part.size() || (part[i] != '0' && part[i] != '1')) return std::nullopt;
    key += part[i] == '0' ? '~' : '/';
  }
  return key;
}

/// An array index of RFC 6901: digits without a leading zero.
std::optional<std::size_t> array_index(std::string_view part) {
  if (part.empty() || (part.size() > 1 && part[0] == '0')) return std::nullopt;
  std::size_t index = 0;
  const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), index);
  if (error != std::errc() || end != part.data() + part.size()) return std::nullopt;
  return index;
}

const Value* find_child(const Value& value, std::string_view part) {
  if (value.kind == Value::Kind::array) {
    const auto index = array_index(part);
    return index && *index < value.items.size() ? &value.items[*index] : nullptr;
  }
  const auto key = unescaped(part);
  return key ? value.find(*key) : nullptr;
}

/// Merges a patch that is an object into one that is an object too.
void merge_members(Value& target, const Value& patch) {
  std::unordered_map<std::string, std::size_t> index;
  for (std::size_t i = 0; i < target.members.size(); ++i) index.emplace(target.members[i].first, i);
  std::vector<bool> removed(target.members.size(), false);
  for (const auto& [key, change] : patch.members) {
    const auto known = index.find(key);
    if (change.kind == Value::Kind::null) {
      if (known != index.end()) removed[known->second] = true;
    } else if (known != index.end()) {
      Value& member = target.members[known->second].second;
      member = merge_patch(removed[known->second] ? Value() : member, change);
      removed[known->second] = false;
    } else {
      index.emplace(key, target.members.size());
      target.members.emplace_back(key, merge_patch({}, change));
      removed.push_back(false);
    }
  }
  std::size_t position = 0;
  std::erase_if(target.members, [&](const auto&) { return removed[position++]; });
}

}  // namespace

Value::Value() = default;
Value::Value(const Value&) = default;
Value::Value(Value&&) noexcept = default;
Value& Value::operator=(const Value&) = default;
Value& Value::operator=(Value&&) noexcept = default;
Value::~Value() = default;

const Value* Value::find(std::string_view key) const {
  const auto found =
      std::find_if(members.begin(), members.end(), [&](const auto& member) { return member.first == key; });
  return found == members.end() ? nullptr : &found->second;
}

std::string_view kind_name(Value::Kind kind) {
  switch (kind) {
    case Value::Kind::null:
      return "null";
    case Value::Kind::boolean:
      return "a boolean";
    case Value::Kind::number:
      return "a number";
    case Value::Kind::string:
      return "a string";
    case Value::Kind::array:
      return "an array";
    case Value::Kind::object:
      break;
  }
  return "an object";
}

std::string pointer_join(std::string_view pointer, std::string_view key) {
  std::string joined(pointer);
  joined += '/';
  for (const char c : key) {
    if (c == '~') {
      joined += "~0";
    } else if (c == '/') {
      joined += "~1";
    } else {
      joined += c;
    }
  }
  return joined;
}

const Value* find_value(const Value& root, std::string_view pointer) {
  const Value* value = &root;
  while (value != nullptr && !pointer.empty()) {
    if (pointer[0] != '/') return nullptr;
    const std::size_t end = std::min(pointer.find('/', 1), pointer.size());
    value = find_child(*value, pointer.substr(1, end - 1));
    pointer.remove_prefix(end);
  }
  return value;
}

bool set_value(Value& root, std::string_view pointer, Value value) {
  // The tree is ours to change, `find_value` only reads it.
  if (const Value* known = find_value(root, pointer)) {
    const_cast<Value&>(*known) = std::move(value);
    return true;
  }
  const std::size_t last = pointer.rfind('/');
  if (last == std::string_view::npos) return false;
  const std::string_view part = pointer.substr(last + 1);
  Value* const parent = const_cast<Value*>(find_value(root, pointer.substr(0, last)));
  if (parent == nullptr) return false;
  if (parent->kind == Value::Kind::array && part == "-") {
    parent->items.push_back(std::move(value));
    return true;
  }
  const std::optional<std::string> key = unescaped(part);
  if (parent->kind != Value::Kind::object || !key) return false;
  parent->members.emplace_back(*key, std::move(value));
  return true;
}

Value merge_patch(const Value& base, const Value& patch) {
  if (patch.kind != Value::Kind::object) return patch;
  Value merged = base.kind == Value::Kind::object ? base : make_object();
  if (base.kind != Value::Kind::object) merged.line = patch.line;
  merge_members(merged, patch);
  return merged;
}

}  // namespace corefeed::model
