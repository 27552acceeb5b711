// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "cad_bridge/proposal/propose.hpp"

namespace corefeed::proposal {
namespace {

using model::Value;

constexpr std::array<std::string_view, 6> roles{"duct", "core", "vent", "inlet", "bay", "ignore"};
constexpr std::array<std::string_view, 5> keys{"part", "opening", "cutout", "as", "element"};

class BindingReader {
 public:
  explicit BindingReader(const model::Document& document) : document_(document) {}

  Result<Binding> read() {
    binding_.file = document_.file;
    const Value& root = document_.root;
    const Value* parts = root.find("parts");
    if (parts == nullptr || parts->kind != Value::Kind::array) {
      add("", "wrong_type", "expected an object with the list \"parts\"");
      return issues_;
    }
    for (const auto& [key, value] : root.members) {
      if (key != "parts")
        add("/" + key, "unknown_key", fmt::format("{}; expected \"parts\" alone", quoted(key)));
    }
    for (std::size_t i = 0; i < parts->items.size(); ++i)
      read_row(parts->items[i], fmt::format("/parts/{}", i));
    if (!issues_.empty()) return issues_;
    return std::move(binding_);
  }

 private:
  void add(const std::string& pointer, std::string code, std::string text) {
    issues_.push_back(document_.issue(pointer, std::move(code), std::move(text)));
  }

  std::string text(const Value& row, const std::string& pointer, std::string_view key) {
    const Value* value = row.find(key);
    if (value == nullptr) return {};
    if (value->kind == Value::Kind::string && !value->text.empty()) return value->text;
    add(pointer, "wrong_type",
        fmt::format("\"{}\" is {}; expected a text", key, model::kind_name(value->kind)));
    return {};
  }

  void read_row(const Value& row, const std::string& pointer) {
    if (row.kind != Value::Kind::object) {
      return add(
          pointer, "wrong_type",
          fmt::format("found {}; expected an object with \"part\" and \"as\"", model::kind_name(row.kind)));
    }
    for (const auto& [key, value] : row.members) {
      if (std::find(keys.begin(), keys.end(), key) == keys.end())
        add(pointer, "unknown_key", fmt::format("{}; expected {}", quoted(key), fmt::join(keys, ", ")));
    }
    Binding::Row made{
        text(row, pointer, "part"), {}, text(row, pointer, "as"), text(row, pointer, "element"), pointer};
    const std::string opening = text(row, pointer, "opening");
    const std::string cutout = text(row, pointer, "cutout");
    if (!opening.empty() && !cutout.empty())
      add(pointer, "conflicting_keys", "\"opening\" and \"cutout\" stand together; expected one");
    made.end = opening.empty() ? cutout : opening;
    if (row.find("part") == nullptr) add(pointer, "missing_key", "\"part\" is missing: which part is meant");
    if (row.find("as") == nullptr) add(pointer, "missing_key", "\"as\" is missing: what the part is");
    if (!made.as.empty() && std::find(roles.begin(), roles.end(), made.as) == roles.end())
      add(pointer, "unknown_name",
          fmt::format("{} as \"as\"; expected {}", quoted(made.as), fmt::join(roles, ", ")));
    binding_.rows.push_back(std::move(made));
  }

  const model::Document& document_;
  Binding binding_;
  std::vector<Issue> issues_;
};

}  // namespace

Result<Binding> read_binding(const std::string& path) {
  const Result<model::Document> document = model::read_document(path);
  if (!document) return document.issues();
  return BindingReader(document.value()).read();
}

}  // namespace corefeed::proposal
