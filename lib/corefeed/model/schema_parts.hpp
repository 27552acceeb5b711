// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/losses/kind.hpp"
#include "corefeed/model/document.hpp"
#include "corefeed/units/quantity.hpp"

/// What the sections of the schema are put together from. Private to the library's sources.
namespace corefeed::model::schema_parts {

using Members = std::vector<std::pair<std::string, Value>>;
using Words = std::vector<std::string_view>;

inline constexpr double unbounded = std::numeric_limits<double>::infinity();

/// An array of strings.
Value words(const Words& list);

/// {"const": word}
Value constant(std::string_view word);

/// {"enum": [...]} with a description where there is one.
Value one_of_words(const Words& list, std::string_view meaning = {});

/// {"type": "string"} with a description.
Value free_text(std::string_view meaning);

/// {"$ref": "#/definitions/NAME"}
Value reference(std::string_view definition);

/// A reference with a description beside it; draft-07 ignores what stands beside a bare "$ref".
Value described(std::string_view definition, std::string_view meaning);

/// Names of the definitions of a quantity's text, and of the same with {"value", "sigma", "source"} allowed.
std::string text_name(units::Quantity quantity);
std::string own_name(units::Quantity quantity);

/// A plain JSON number with its bounds.
Value plain_number(std::string_view meaning, double lowest, double highest, bool above_lowest = false);

/// An object that refuses keys it does not know, "$schema" and x- keys aside.
Value closed_object(std::string_view meaning, Members properties, const Words& required);

/// An object from names of the user's own to values of one form.
Value map_of(std::string_view meaning, Value form);

/// "if the key "kind" is this word, then the definition holds".
Value when_kind(std::string_view word, Value then);

/// An element's number, whatever its quantity: its bounds, standard value and {"value", "sigma", "source"}.
Value element_number(const losses::Key& key);

/// A curve: a list of points, or the name of a CSV file.
Value curve_points(const losses::CurveForm& form, std::string_view meaning);
Value curve_file(const losses::CurveForm& form);

/// Definitions of all quantities.
void add_quantities(Members& definitions);

/// Definitions of all element kinds, of "element" and "piece", which choose among them.
void add_elements(Members& definitions);

/// Definitions of the model's other sections: ambient, node, fluid, loop, point, requirement.
void add_sections(Members& definitions);

}  // namespace corefeed::model::schema_parts
