// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/reader.hpp"
#include "corefeed/model/schema_parts.hpp"

namespace corefeed::model::schema_parts {
namespace {

using units::Quantity;

Value text_of(Quantity quantity, std::string_view meaning) { return described(text_name(quantity), meaning); }

Value ambient_form() {
  return closed_object(
      "the air around the car",
      {{"temperature", text_of(Quantity::temperature, "temperature of the air")},
       {"pressure", text_of(Quantity::pressure_absolute, "absolute pressure of the air")},
       {"relative_humidity", plain_number("relative humidity; dry air if absent", 0.0, 1.0)}},
      {"temperature", "pressure"});
}

Value reference_form() {
  return closed_object(
      "what coefficients refer to",
      {{"frontal_area", text_of(Quantity::area, "frontal area of the car, for the drag coefficient")}}, {});
}

Value node_form() {
  const Value kind =
      one_of_words({"duct", "plenum", "fixed_pressure"},
                   "duct: total pressure carries through; plenum: what arrives loses its head; "
                   "fixed_pressure: a given total pressure");
  const Value still = closed_object("", {{"kind", kind}}, {"kind"});
  const Value fixed = closed_object(
      "",
      {{"kind", kind},
       {"total_pressure", text_of(Quantity::pressure_gauge, "total pressure above ambient")},
       {"temperature", text_of(Quantity::temperature,
                               "temperature; if absent that of the air outside, in a loop that of what flows "
                               "through")}},
      {"kind", "total_pressure"});
  return make_object({{"type", make_text("object")},
                      {"description", make_text("a place where elements meet")},
                      {"properties", make_object({{"kind", kind}})},
                      {"required", words({"kind"})},
                      {"allOf", make_array({when_kind("duct", still), when_kind("plenum", still),
                                            when_kind("fixed_pressure", fixed)})}});
}

Value constant_liquid() {
  return closed_object("a liquid of constant properties",
                       {{"kind", constant("constant")},
                        {"heat_capacity", text_of(Quantity::heat_capacity, "specific heat capacity")},
                        {"density", text_of(Quantity::density, "density")},
                        {"viscosity", text_of(Quantity::dynamic_viscosity, "dynamic viscosity")},
                        {"conductivity", text_of(Quantity::conductivity, "thermal conductivity")}},
                       {"heat_capacity"});
}

Value glycol() {
  return closed_object("water with ethylene glycol",
                       {{"kind", constant("water_glycol")},
                        {"glycol_share", plain_number("share of ethylene glycol by volume", 0.0, 0.6)}},
                       {"kind", "glycol_share"});
}

Value oil() {
  return closed_object(
      "an oil as its data sheet has it",
      {{"kind", constant("oil")},
       {"viscosity_40", text_of(Quantity::kinematic_viscosity, "kinematic viscosity at 40 degC")},
       {"viscosity_100", text_of(Quantity::kinematic_viscosity, "kinematic viscosity at 100 degC")},
       {"density_15", text_of(Quantity::density, "density at 15 degC")},
       {"grade", free_text("viscosity grade such as 10W-60, against which viscosity_100 is checked")}},
      {"kind", "viscosity_40", "viscosity_100"});
}

Value fluid_form() {
  const Words kinds{"constant", "water", "water_glycol", "oil"};
  const Value water = closed_object("water", {{"kind", constant("water")}}, {"kind"});
  // A fluid without kind is one of constant properties.
  const Value no_kind = make_object({{"not", make_object({{"required", words({"kind"})}})}});
  const Value without_kind = make_object({{"if", no_kind}, {"then", constant_liquid()}});
  return make_object({{"type", make_text("object")},
                      {"description", make_text("what flows in the loop")},
                      {"properties", make_object({{"kind", one_of_words(kinds, "constant if absent")}})},
                      {"allOf", make_array({without_kind, when_kind("constant", constant_liquid()),
                                            when_kind("water", water), when_kind("water_glycol", glycol()),
                                            when_kind("oil", oil())})}});
}

Value thermostat_form() {
  return closed_object(
      "what sends a share of the flow through the cores; fully open in a steady solution",
      {{"opens_at", text_of(Quantity::temperature, "begins to open when warming")},
       {"fully_open_at", text_of(Quantity::temperature, "sends all the flow through the cores")},
       {"hysteresis", text_of(Quantity::temperature_difference, "closes lower by this; 3 K if absent")},
       {"lag", text_of(Quantity::time, "time constant of the wax; 7 s if absent")},
       {"closed_share",
        plain_number("share of the flow through the cores while closed; 0 if absent", 0.0, 0.9)}},
      {"opens_at", "fully_open_at"});
}

Value fan_control_form() {
  return closed_object("switches a fan over a lap",
                       {{"on_above", text_of(Quantity::temperature, "the loop switches the fan on above")},
                        {"off_below", text_of(Quantity::temperature, "and off below")},
                        {"off_state", one_of_words({"freewheeling", "stopped"},
                                                   "what the fan does when off; freewheeling if absent")}},
                       {"on_above", "off_below"});
}

Value loop_form() {
  const auto asks = [](const Words& keys) { return make_object({{"required", words(keys)}}); };
  const auto refuses = [&asks](std::string_view key) { return make_object({{"not", asks({key})}}); };
  const Value share = make_object(
      {{"description", make_text("heat over the engine's shaft power, which every point then gives")},
       {"anyOf", make_array({plain_number("", 0.0, 1.5),
                             closed_object("",
                                           {{"value", plain_number("", 0.0, 1.5)},
                                            {"sigma", plain_number("1-sigma of the share", 0.0, unbounded)},
                                            {"source", free_text("where it comes from")}},
                                           {"value"})})}});
  Value form = closed_object(
      "a liquid loop: of fixed flow and heat load, or of elements and nodes",
      {{"fluid", fluid_form()},
       {"flow", described(own_name(Quantity::mass_flow), "mass flow of a loop without elements")},
       {"heat_load", described(own_name(Quantity::power), "heat that the loop takes up")},
       {"heat_at", described("name", "element at whose end the heat enters; the first pump if absent")},
       {"heat_share", share},
       {"heat_rule", one_of_words(heat_rules(), "the share by common practice, within 20 %, no source")},
       {"elements", map_of("pump, hoses, fittings, core and the like by name", reference("loop_element"))},
       {"nodes", map_of("nodes that need a description, by name", reference("node"))},
       {"thermal_mass",
        text_of(Quantity::heat_capacity_total, "of the liquid and the metal that warms with it")},
       {"temperature_limit", text_of(Quantity::temperature, "a lap reports the time above it")},
       {"start_temperature", text_of(Quantity::temperature, "at the start of a stint; ambient if absent")},
       {"thermostat", thermostat_form()},
       {"fan_control", map_of("fans that this loop switches over a lap, by name", fan_control_form())},
       {"cap_pressure", text_of(Quantity::pressure_gauge, "opening pressure of the filler cap")}},
      {"fluid"});
  form.members.emplace_back("if", asks({"elements"}));
  std::vector<Value> of_fixed_flow;
  for (const std::string_view key : {"flow", "cap_pressure", "thermal_mass", "temperature_limit",
                                     "start_temperature", "thermostat", "fan_control"}) {
    of_fixed_flow.push_back(refuses(key));
  }
  form.members.emplace_back("then", make_object({{"allOf", make_array(std::move(of_fixed_flow))}}));
  const Value one_load =
      make_object({{"oneOf", make_array({asks({"heat_load"}), asks({"heat_share"}), asks({"heat_rule"})})}});
  form.members.emplace_back(
      "else",
      make_object({{"allOf", make_array({asks({"flow"}), one_load, refuses("heat_at"), refuses("nodes")})}}));
  return form;
}

Value point_form() {
  const Value state = one_of_words({"on", "freewheeling", "stopped", "removed"});
  return closed_object(
      "an operating point",
      {{"name", free_text("what the point is called")},
       {"speed", text_of(Quantity::speed, "speed of the car")},
       {"yaw", text_of(Quantity::angle, "yaw angle of the car against the air")},
       {"ride_height", text_of(Quantity::length, "ride height, an axis of the table of surface pressures")},
       {"engine_speed", text_of(Quantity::shaft_speed, "engine speed; of pumps that it drives")},
       {"shaft_power", text_of(Quantity::power, "shaft power of the engine")},
       {"heat_load",
        map_of("heat loads by loop, instead of the loop's own", reference(text_name(Quantity::power)))},
       {"cp", map_of("pressure coefficients by opening, instead of the opening's own",
                     plain_number("", -6.0, 1.2))},
       {"fans", map_of("states of the fans; a fan that is not named is on", state)}},
      {"name", "speed"});
}

Value requirement_form() {
  const auto limit = [](std::string_view meaning) {
    return make_object(
        {{"description", make_text(std::string(meaning))}, {"type", words({"string", "number"})}});
  };
  const Value names = make_object({{"type", make_text("array")}, {"items", free_text("name of a point")}});
  const auto alone = [](std::string_view key) { return make_object({{"required", words({key})}}); };
  Value form = closed_object(
      "what a quantity must keep",
      {{"name", free_text("what the requirement is called; its quantity if absent")},
       {"quantity", free_text("what is judged, such as radiator.flow")},
       {"at_least", limit("lower limit, with the quantity's unit")},
       {"at_most", limit("upper limit, with the quantity's unit")},
       {"at", make_object({{"description", make_text("points at which it is judged; all if absent")},
                           {"anyOf", make_array({constant("all"), names})}})},
       {"confidence", plain_number("probability with which it must be met", 0.5, 0.9999)}},
      {"quantity"});
  form.members.emplace_back("oneOf", make_array({alone("at_least"), alone("at_most")}));
  return form;
}

Value name_form() {
  const Words reserved{"car", "ambient", "path", "all", "requirement"};
  return make_object({{"type", make_text("string")},
                      {"description", make_text("a name without blank, dot, slash, comma, quote or =")},
                      {"pattern", make_text("^(?!x-)[^\\u0000-\\u0020./,\"'=]+$")},
                      {"maxLength", make_number(64)},
                      {"not", one_of_words(reserved)}});
}

Value name_or_remark() {
  const Value remark = make_object({{"pattern", make_text("^(x-|\\$schema$)")}});
  return make_object({{"anyOf", make_array({remark, reference("name")})}});
}

}  // namespace

void add_sections(Members& definitions) {
  definitions.emplace_back("name", name_form());
  definitions.emplace_back("name_or_remark", name_or_remark());
  definitions.emplace_back("ambient", ambient_form());
  definitions.emplace_back("reference", reference_form());
  definitions.emplace_back("node", node_form());
  definitions.emplace_back("loop", loop_form());
  definitions.emplace_back("point", point_form());
  definitions.emplace_back("requirement", requirement_form());
}

}  // namespace corefeed::model::schema_parts
