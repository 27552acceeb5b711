// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "corefeed/model/reader.hpp"
#include "corefeed/model/schema_parts.hpp"

namespace corefeed::model::schema_parts {
namespace {

using losses::Ends;
using losses::Key;
using losses::Kind;
using losses::Need;
using losses::Rule;

Value all_of(std::vector<Value> parts) { return make_object({{"allOf", make_array(std::move(parts))}}); }
Value any_of(std::vector<Value> parts) { return make_object({{"anyOf", make_array(std::move(parts))}}); }
Value one_of(std::vector<Value> parts) { return make_object({{"oneOf", make_array(std::move(parts))}}); }
Value has(std::string_view key) { return make_object({{"required", words({key})}}); }

/// An object under `group` that holds the key.
Value has_inside(std::string_view group, std::string_view leaf) {
  return make_object(
      {{"required", words({group})}, {"properties", make_object({{std::string(group), has(leaf)}})}});
}

/// "the key, or any key of the object of this name, stands in the element".
Value stands(const Kind& kind, std::string_view name) {
  if (!group_of(name).empty()) {
    const std::size_t key = losses::find_key(kind, name);
    Value own = has_inside(group_of(name), leaf_of(name));
    if (key == losses::npos || kind.keys[key].curve == nullptr) return own;
    return any_of({own, has_inside(group_of(name), "table")});
  }
  std::vector<Value> inside;
  for (const Key& key : kind.keys) {
    if (group_of(key.name) == name) inside.push_back(has_inside(name, leaf_of(key.name)));
  }
  return inside.empty() ? has(name) : any_of(std::move(inside));
}

Value rule_form(const Kind& kind, const Rule& rule) {
  std::vector<Value> each;
  for (const std::string_view key : rule.keys) each.push_back(stands(kind, key));
  switch (rule.kind) {
    case Rule::Kind::exactly_one:
      return one_of(std::move(each));
    case Rule::Kind::any_of:
      return any_of(std::move(each));
    case Rule::Kind::at_most_one: {
      Value none = make_object({{"not", any_of(each)}});
      each.insert(each.begin(), std::move(none));
      return one_of(std::move(each));
    }
    case Rule::Kind::needs:
    case Rule::Kind::needs_one:
      break;
  }
  const Value first = each.front();
  each.erase(each.begin());
  const bool one = rule.kind == Rule::Kind::needs_one;
  return make_object({{"if", first}, {"then", one ? any_of(std::move(each)) : all_of(std::move(each))}});
}

/// The law's keys, those with a dot gathered in objects, in the order of the row.
void add_law_keys(const Kind& kind, Members& properties) {
  Words done;
  for (const Key& key : kind.keys) {
    const std::string_view group = group_of(key.name);
    if (group.empty()) {
      properties.emplace_back(std::string(key.name), element_number(key));
      continue;
    }
    if (std::find(done.begin(), done.end(), group) != done.end()) continue;
    done.push_back(group);
    Members inside;
    Words required;
    for (const Key& other : kind.keys) {
      if (group_of(other.name) != group) continue;
      inside.emplace_back(std::string(leaf_of(other.name)), element_number(other));
      if (other.curve != nullptr)
        inside.emplace_back("table", curve_file(*other.curve));
      else if (other.need == Need::required)
        required.push_back(leaf_of(other.name));
    }
    properties.emplace_back(std::string(group), closed_object("", std::move(inside), required));
  }
}

/// Top-level keys the law cannot do without; one that every operating point may give is no such key.
Words needed_keys(const Kind& kind) {
  Words needed;
  for (const Key& key : kind.keys) {
    if (key.need != Need::required || key.by_point) continue;
    const std::string_view group = group_of(key.name);
    const std::string_view top = group.empty() ? key.name : group;
    if (std::find(needed.begin(), needed.end(), top) == needed.end()) needed.push_back(top);
  }
  return needed;
}

/// What the law asks for beyond the form of each key: needed keys and rules.
std::vector<Value> law_demands(const Kind& kind) {
  std::vector<Value> demands;
  const Words needed = needed_keys(kind);
  if (!needed.empty()) demands.push_back(make_object({{"required", words(needed)}}));
  for (const Key& key : kind.keys) {
    if (key.curve != nullptr && key.need == Need::required) demands.push_back(stands(kind, key.name));
  }
  for (const Rule& rule : kind.rules) demands.push_back(rule_form(kind, rule));
  return demands;
}

/// An opening by name, or by what tells it apart.
Value opening_form() {
  Value name = make_object({{"type", make_text("string")}, {"description", make_text("by name")}});
  Value place = make_object({{"type", make_text("array")},
                             {"description", make_text("a point at its middle, in the file's frame")},
                             {"minItems", make_number(3)},
                             {"maxItems", make_number(3)},
                             {"items", reference(text_name(units::Quantity::length))}});
  Value selector = closed_object("by what tells it apart; all that stands must hold",
                                 {{"layer", free_text("layer of its face")},
                                  {"color", free_text("color of its face, \"#rrggbb\"")},
                                  {"facing", one_of_words({"+x", "-x", "+y", "-y", "+z", "-z"},
                                                          "axis along which it looks out of the passage")},
                                  {"near", std::move(place)}},
                                 {});
  Value form = any_of({std::move(name), std::move(selector)});
  form.members.emplace_back("description", make_text(std::string(meaning_of_target("opening"))));
  return form;
}

Value geometry_form(const Kind& kind) {
  Members properties{{"file", free_text("STEP file, relative to the model")},
                     {"part", free_text("part of the file; the only part if absent")}};
  std::vector<Value> alone;
  for (const std::string_view target : geometry_targets(kind)) {
    properties.emplace_back(std::string(target), target == "opening"
                                                     ? opening_form()
                                                     : free_text(std::string(meaning_of_target(target))));
    alone.push_back(has(target));
  }
  Value form = closed_object("the CAD part that gives the numbers", std::move(properties), {"file"});
  if (!is_path(kind)) form.members.emplace_back("oneOf", make_array(std::move(alone)));
  return form;
}

void add_path_keys(Members& properties) {
  properties.emplace_back("pieces",
                          make_object({{"type", make_text("array")},
                                       {"description", make_text("ducts, bends, diffusers and the like in "
                                                                 "the order of the path")},
                                       {"items", reference("piece")}}));
  properties.emplace_back("feeds", described("name", "the core at the path's end"));
}

/// The key that makes an element a part of another, if the kind has one.
const Key* whole_key(const Kind& kind) {
  for (const Key& key : kind.keys) {
    if (key.refers == losses::Refers::whole) return &key;
  }
  return nullptr;
}

Value title_of(const Kind& kind, Value form) {
  form.members.emplace(form.members.begin(), "title", make_text(std::string(kind.title)));
  return form;
}

Value element_form(const Kind& kind) {
  Members properties{{"kind", constant(losses::word_of(kind))}};
  Words required{"kind"};
  const bool ports = kind.ends == Ends::three_ports;
  if (ports) {
    properties.emplace_back("ports",
                            closed_object("the nodes at the three ports",
                                          {{"common", described("name", "the port of the whole flow")},
                                           {"straight", described("name", "the port straight on")},
                                           {"branch", described("name", "the port at the side")}},
                                          {"common", "straight", "branch"}));
    required.push_back("ports");
  }
  if (kind.ends != Ends::no_from && !ports) {
    properties.emplace_back("from", described("name", "node at which the element starts"));
    required.push_back("from");
  }
  if (kind.ends != Ends::no_to && !ports) {
    properties.emplace_back("to", described("name", "node at which the element ends"));
    required.push_back("to");
  }
  if (takes_geometry(kind)) properties.emplace_back("geometry", geometry_form(kind));
  if (is_path(kind)) add_path_keys(properties);
  add_law_keys(kind, properties);
  Value form = closed_object(kind.meaning, std::move(properties), required);
  if (is_path(kind)) {
    form.members.emplace_back("oneOf", make_array({has("geometry"), has("pieces")}));
    return title_of(kind, std::move(form));
  }
  std::vector<Value> demands = law_demands(kind);
  // CAD may give what the model leaves out.
  if (takes_geometry(kind) && !demands.empty())
    demands = {any_of({has("geometry"), all_of(std::move(demands))})};
  // A part of a split element takes what it does not give from the whole.
  if (!demands.empty()) {
    if (const Key* whole = whole_key(kind)) {
      const Value part = make_object({{"required", words({whole->name, "share"})}});
      demands = {any_of({part, all_of(std::move(demands))})};
    }
    form.members.emplace_back("allOf", make_array(std::move(demands)));
  }
  return title_of(kind, std::move(form));
}

Value piece_form(const Kind& kind) {
  Members properties{{"kind", constant(kind.name)}};
  add_law_keys(kind, properties);
  Value form = closed_object(kind.meaning, std::move(properties), {"kind"});
  std::vector<Value> demands = law_demands(kind);
  if (!demands.empty()) form.members.emplace_back("allOf", make_array(std::move(demands)));
  return title_of(kind, std::move(form));
}

/// An object whose kind chooses the definition "PREFIX_kind".
Value chosen_by_kind(std::string_view meaning, const std::vector<const Kind*>& list,
                     const std::string& prefix) {
  std::vector<Value> choices;
  Words kinds;
  for (const Kind* kind : list) {
    kinds.push_back(losses::word_of(*kind));
    choices.push_back(when_kind(kinds.back(), reference(prefix + std::string(kind->name))));
  }
  return make_object({{"type", make_text("object")},
                      {"description", make_text(std::string(meaning))},
                      {"properties", make_object({{"kind", one_of_words(kinds, "what it is")}})},
                      {"required", words({"kind"})},
                      {"allOf", make_array(std::move(choices))}});
}

}  // namespace

void add_elements(Members& definitions) {
  std::vector<const Kind*> airs;
  std::vector<const Kind*> liquids;
  std::vector<const Kind*> pieces;
  for (const Kind* kind : losses::kinds()) {
    if (losses::may_carry(*kind, false)) airs.push_back(kind);
    if (losses::may_carry(*kind, true)) liquids.push_back(kind);
    definitions.emplace_back("element_" + std::string(kind->name), element_form(*kind));
    if (!is_piece(*kind)) continue;
    pieces.push_back(kind);
    definitions.emplace_back("piece_" + std::string(kind->name), piece_form(*kind));
  }
  definitions.emplace_back("element", chosen_by_kind("an element of the air side", airs, "element_"));
  definitions.emplace_back("loop_element", chosen_by_kind("an element of a loop", liquids, "element_"));
  definitions.emplace_back("piece", chosen_by_kind("a piece of a duct path", pieces, "piece_"));
}

}  // namespace corefeed::model::schema_parts
