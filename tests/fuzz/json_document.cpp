// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include <cmath>

#include "corefeed/model/document.hpp"
#include "tests/fuzz/oracle.hpp"

/// JSON documents: what is accepted means the same to a second reader, survives being written, and its places
/// and patches are those of the standards.
namespace corefeed::fuzz {
namespace {

using Json = nlohmann::ordered_json;
using model::Value;

/// Numbers below the smallest normal double may be read as zero; that is what a warning tells.
bool same_number(double ours, double theirs) {
  return ours == theirs || (ours == 0.0 && std::abs(theirs) < 1e-300);
}

bool same_tree(const Value& ours, const Json& theirs) {
  switch (ours.kind) {
    case Value::Kind::null:
      return theirs.is_null();
    case Value::Kind::boolean:
      return theirs.is_boolean() && theirs.get<bool>() == ours.boolean;
    case Value::Kind::number:
      return theirs.is_number() && same_number(ours.number, theirs.get<double>());
    case Value::Kind::string:
      return theirs.is_string() && theirs.get_ref<const std::string&>() == ours.text;
    case Value::Kind::array:
      if (!theirs.is_array() || theirs.size() != ours.items.size()) return false;
      for (std::size_t i = 0; i < ours.items.size(); ++i)
        if (!same_tree(ours.items[i], theirs[i])) return false;
      return true;
    case Value::Kind::object:
      break;
  }
  if (!theirs.is_object() || theirs.size() != ours.members.size()) return false;
  auto member = theirs.begin();
  for (const auto& [key, value] : ours.members) {
    if (member.key() != key || !same_tree(value, member.value())) return false;
    ++member;
  }
  return true;
}

bool same_tree(const Value& a, const Value& b) {
  const bool alike = a.kind == b.kind && a.boolean == b.boolean && a.text == b.text &&
                     same(a.number, b.number) && a.items.size() == b.items.size() &&
                     a.members.size() == b.members.size();
  if (!alike) return false;
  for (std::size_t i = 0; i < a.items.size(); ++i)
    if (!same_tree(a.items[i], b.items[i])) return false;
  for (std::size_t i = 0; i < a.members.size(); ++i)
    if (a.members[i].first != b.members[i].first || !same_tree(a.members[i].second, b.members[i].second))
      return false;
  return true;
}

/// Every value is where its pointer says, for a second reader of pointers too.
void require_places(const Value& root, const Json& second, const Value& at, const std::string& pointer) {
  require(model::find_value(root, pointer) == &at, "a pointer leads to its value");
  require(second.contains(Json::json_pointer(pointer)), "a pointer is one by RFC 6901");
  for (std::size_t i = 0; i < at.items.size(); ++i)
    require_places(root, second, at.items[i], model::pointer_join(pointer, std::to_string(i)));
  for (const auto& [key, value] : at.members)
    require_places(root, second, value, model::pointer_join(pointer, key));
}

void require_patches(const Value& list, const Json& second) {
  for (std::size_t i = 1; i < list.items.size() && i < 5; ++i) {
    Json theirs = second[i - 1];
    theirs.merge_patch(second[i]);
    const Value ours = model::merge_patch(list.items[i - 1], list.items[i]);
    require(same_tree(ours, theirs), "a merge patch is one by RFC 7396");
  }
}

}  // namespace

void run(std::string_view bytes) {
  const Result<model::Document> read = model::parse_document(bytes, "fuzzed.json");
  if (!read) {
    require_sound(read.issues(), bytes);
    if (read.issues().front().code == "syntax")
      require(!Json::accept(bytes), "what is called bad syntax is bad");
    return;
  }
  const Json second = Json::parse(bytes, nullptr, false);
  const Value& root = read.value().root;
  require(!second.is_discarded(), "what is accepted is JSON");
  require(same_tree(root, second), "what is read is what stands there");
  const std::string written = model::write_document(root);
  const Result<model::Document> again = model::parse_document(written, "written.json");
  require(again.ok(), "what is written can be read");
  require(same_tree(root, again.value().root), "what is written is what was read");
  require(model::write_document(again.value().root) == written, "what is written again is the same text");
  if (bytes.size() < 4096) require_places(root, second, root, "");
  if (root.kind == Value::Kind::array) require_patches(root, second);
}

}  // namespace corefeed::fuzz
