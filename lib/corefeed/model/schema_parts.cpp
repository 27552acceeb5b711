// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/schema_parts.hpp"

#include <algorithm>
#include <cmath>

namespace corefeed::model::schema_parts {
namespace {

using units::Quantity;

constexpr std::string_view ignored_keys = "^(x-|\\$schema$)";

void add_bounds(Members& members, double lowest, double highest, bool above_lowest) {
  if (std::isfinite(lowest))
    members.emplace_back(above_lowest ? "exclusiveMinimum" : "minimum", make_number(lowest));
  if (std::isfinite(highest)) members.emplace_back("maximum", make_number(highest));
}

/// {"value": .., "sigma": .., "source": ..} around a number of this form.
Value own_number(Value value, Value sigma) {
  Members properties{{"value", std::move(value)},
                     {"sigma", std::move(sigma)},
                     {"source", free_text("where value and sigma come from")}};
  return closed_object("a number of the user's own test, with its 1-sigma and source", std::move(properties),
                       {"value"});
}

Value either(Value first, Value second) {
  return make_object({{"anyOf", make_array({std::move(first), std::move(second)})}});
}

/// A level's spread is a difference.
Quantity spread_quantity(Quantity quantity) {
  return quantity == Quantity::temperature ? Quantity::temperature_difference : quantity;
}

void add_standard(const losses::Key& key, Value& form) {
  if (key.need != losses::Need::standard) return;
  const bool plain = key.quantity == Quantity::number;
  form.members.emplace_back(
      "default", plain ? make_number(key.standard) : make_text(units::show(key.standard, key.quantity, 0)));
}

std::string meaning_of(const losses::Key& key) {
  std::string text(key.meaning);
  if (!key.symbol.empty()) text += " [" + std::string(key.symbol) + "]";
  return text;
}

}  // namespace

Value words(const Words& list) {
  std::vector<Value> items;
  for (const std::string_view word : list) items.push_back(make_text(std::string(word)));
  return make_array(std::move(items));
}

Value constant(std::string_view word) { return make_object({{"const", make_text(std::string(word))}}); }

Value one_of_words(const Words& list, std::string_view meaning) {
  Members members;
  if (!meaning.empty()) members.emplace_back("description", make_text(std::string(meaning)));
  members.emplace_back("enum", words(list));
  return make_object(std::move(members));
}

Value free_text(std::string_view meaning) {
  return make_object({{"type", make_text("string")}, {"description", make_text(std::string(meaning))}});
}

Value reference(std::string_view definition) {
  return make_object({{"$ref", make_text("#/definitions/" + std::string(definition))}});
}

Value described(std::string_view definition, std::string_view meaning) {
  return make_object(
      {{"description", make_text(std::string(meaning))}, {"allOf", make_array({reference(definition)})}});
}

std::string text_name(Quantity quantity) {
  std::string name(units::info(quantity).name);
  std::replace(name.begin(), name.end(), ' ', '_');
  return name;
}

std::string own_name(Quantity quantity) { return "own_" + text_name(quantity); }

Value plain_number(std::string_view meaning, double lowest, double highest, bool above_lowest) {
  Members members{{"type", make_text("number")}};
  if (!meaning.empty()) members.emplace_back("description", make_text(std::string(meaning)));
  add_bounds(members, lowest, highest, above_lowest);
  return make_object(std::move(members));
}

Value closed_object(std::string_view meaning, Members properties, const Words& required) {
  Members members{{"type", make_text("object")}};
  if (!meaning.empty()) members.emplace_back("description", make_text(std::string(meaning)));
  members.emplace_back("properties", make_object(std::move(properties)));
  if (!required.empty()) members.emplace_back("required", words(required));
  members.emplace_back("patternProperties", make_object({{std::string(ignored_keys), make_boolean(true)}}));
  members.emplace_back("additionalProperties", make_boolean(false));
  return make_object(std::move(members));
}

Value map_of(std::string_view meaning, Value form) {
  return make_object({{"type", make_text("object")},
                      {"description", make_text(std::string(meaning))},
                      {"propertyNames", reference("name_or_remark")},
                      {"patternProperties", make_object({{std::string(ignored_keys), make_boolean(true)}})},
                      {"additionalProperties", std::move(form)}});
}

Value when_kind(std::string_view word, Value then) {
  Value condition =
      make_object({{"properties", make_object({{"kind", constant(word)}})}, {"required", words({"kind"})}});
  return make_object({{"if", std::move(condition)}, {"then", std::move(then)}});
}

Value element_number(const losses::Key& key) {
  const std::string meaning = meaning_of(key);
  if (key.curve != nullptr) {
    // A curve of its own key may stand in a file as well; one inside an object has "table" for that.
    Value points = curve_points(*key.curve, meaning);
    if (key.name.find('.') != std::string_view::npos) return points;
    Value form = either(points, curve_file(*key.curve));
    form.members.emplace(form.members.begin(), "description", make_text(meaning));
    return form;
  }
  if (!key.choices.empty()) {
    Value form = one_of_words(key.choices, meaning);
    if (key.need == losses::Need::standard) {
      const std::string_view word = key.choices[static_cast<std::size_t>(key.standard)];
      form.members.emplace_back("default", make_text(std::string(word)));
    }
    return form;
  }
  if (key.refers != losses::Refers::nothing) return described("name", meaning);
  Value form;
  if (key.quantity == Quantity::number) {
    const Value number = plain_number("", key.lowest, key.highest, key.above_lowest);
    form = either(number, own_number(number, plain_number("1-sigma of the value", 0.0, unbounded)));
    form.members.emplace(form.members.begin(), "description", make_text(meaning));
  } else {
    form = described(own_name(key.quantity), meaning);
  }
  add_standard(key, form);
  return form;
}

Value curve_points(const losses::CurveForm& form, std::string_view meaning) {
  const auto number = [](const losses::Column& column) {
    return column.quantity == Quantity::number ? plain_number(column.meaning, -unbounded, unbounded)
                                               : described(text_name(column.quantity), column.meaning);
  };
  std::vector<std::vector<losses::Column>> slots{form.abscissas};
  slots.insert(slots.end(), form.beside.begin(), form.beside.end());
  slots.push_back({form.ordinate});
  // Of each slot one column: every way to choose is a form of its own.
  std::vector<std::pair<Members, Words>> ways{{}};
  for (const std::vector<losses::Column>& slot : slots) {
    std::vector<std::pair<Members, Words>> longer;
    for (const auto& way : ways) {
      for (const losses::Column& column : slot) {
        longer.push_back(way);
        longer.back().first.emplace_back(std::string(column.name), number(column));
        longer.back().second.push_back(column.name);
      }
    }
    ways = std::move(longer);
  }
  std::vector<Value> forms;
  for (auto& [members, required] : ways) forms.push_back(closed_object("", std::move(members), required));
  return make_object({{"type", make_text("array")},
                      {"description", make_text(std::string(meaning))},
                      {"minItems", make_number(static_cast<double>(form.least_points))},
                      {"items", make_object({{"anyOf", make_array(std::move(forms))}})}});
}

Value curve_file(const losses::CurveForm& form) {
  std::string columns(form.abscissas.front().name);
  for (const std::vector<losses::Column>& slot : form.beside)
    columns += ", " + std::string(slot.front().name);
  return free_text("CSV file, relative to the model, with the columns " + columns + " and " +
                   std::string(form.ordinate.name));
}

void add_quantities(Members& definitions) {
  for (int i = 0; i <= static_cast<int>(Quantity::flow_per_pressure); ++i) {
    const auto quantity = static_cast<Quantity>(i);
    const units::QuantityInfo& info = units::info(quantity);
    if (quantity == Quantity::number) continue;
    definitions.emplace_back(text_name(quantity),
                             make_object({{"title", make_text(std::string(info.name))},
                                          {"type", make_text("string")},
                                          {"examples", words({info.example})},
                                          {"pattern", make_text(units::schema_pattern(quantity))}}));
    definitions.emplace_back(
        own_name(quantity),
        either(reference(text_name(quantity)),
               own_number(reference(text_name(quantity)), reference(text_name(spread_quantity(quantity))))));
  }
}

}  // namespace corefeed::model::schema_parts
