// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/model.hpp"
#include "corefeed/model/schema_parts.hpp"

namespace corefeed::model {
namespace {

using namespace schema_parts;

Value list_of(std::string_view meaning, std::string_view definition, bool at_least_one) {
  Members members{{"type", make_text("array")},
                  {"description", make_text(std::string(meaning))},
                  {"items", reference(definition)}};
  if (at_least_one) members.emplace_back("minItems", make_number(1));
  return make_object(std::move(members));
}

Value air_form() {
  return closed_object(
      "the air side",
      {{"elements", map_of("inlets, ducts, cores, fans, leaks and vents by name", reference("element"))},
       {"nodes", map_of("nodes that need a description, by name", reference("node"))}},
      {"elements"});
}

Value surface_pressure_form() {
  const Value axes =
      make_object({{"type", make_text("array")},
                   {"description", make_text("columns of the table that are axes; all if absent")},
                   {"uniqueItems", make_boolean(true)},
                   {"items", one_of_words({"ride_height", "yaw"})}});
  return closed_object(
      "pressure coefficients of openings from CFD, before the openings' own",
      {{"table", free_text("CSV file: opening, ride_height, yaw, cp, sigma")}, {"axes", axes}}, {"table"});
}

Value points_form() {
  const Value table = closed_object("", {{"table", free_text("CSV file with a row a point")}}, {"table"});
  return make_object({{"description", make_text("operating points")},
                      {"anyOf", make_array({list_of("", "point", true), table})}});
}

Value to_decide_form() {
  const Value entry = closed_object("an open question",
                                    {{"pointer", free_text("where the answer belongs")},
                                     {"what", free_text("what is asked")},
                                     {"reason", free_text("why the shapes do not tell it")}},
                                    {});
  return make_object(
      {{"type", make_text("array")},
       {"description", make_text("what a proposed model leaves open; it is read once this is empty")},
       {"items", entry}});
}

Members top_keys() {
  const Value overrides = make_object({{"type", make_text("object")}});
  return {{"corefeed", make_object({{"description", make_text("version of the model format")},
                                    {"const", make_number(1)}})},
          {"title", free_text("what the model is")},
          {"ambient", reference("ambient")},
          {"reference", reference("reference")},
          {"air", air_form()},
          {"loops", map_of("liquid loops by name", reference("loop"))},
          {"surface_pressure", surface_pressure_form()},
          {"points", points_form()},
          {"requirements", list_of("what must hold", "requirement", false)},
          {"to_decide", to_decide_form()},
          {"variants", make_object({{"type", make_text("object")},
                                    {"description", make_text("JSON merge patches on the model, by name")},
                                    {"patternProperties", make_object({{"^x-", make_boolean(true)}})},
                                    {"additionalProperties", overrides}})}};
}

}  // namespace

std::string schema() {
  Members definitions;
  add_quantities(definitions);
  add_sections(definitions);
  add_elements(definitions);
  Value root =
      closed_object("A network of cooling ducts of a car with its loops, operating points and requirements.",
                    top_keys(), {"corefeed", "ambient", "air", "points"});
  Members members{{"$schema", make_text("http://json-schema.org/draft-07/schema#")},
                  {"title", make_text("corefeed model")}};
  for (auto& member : root.members) members.push_back(std::move(member));
  members.emplace_back("definitions", make_object(std::move(definitions)));
  return write_document(make_object(std::move(members)));
}

}  // namespace corefeed::model
