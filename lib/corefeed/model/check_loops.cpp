// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "corefeed/losses/liquid_core.hpp"
#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

bool has_key(const Element& element, std::string_view name) {
  const std::size_t key = losses::find_key(*element.numbers.kind, name);
  return key != losses::npos && (element.numbers.given >> key & 1U) != 0;
}

bool is_passage(const Element& element) { return element.numbers.kind->name == "core_passage"; }
bool is_cooler(const Element& element) { return element.numbers.kind->name == "liquid_cooler"; }
bool is_pump(const Element& element) {
  return losses::find_key(*element.numbers.kind, "suction_limit") != losses::npos;
}
bool is_supply(const Element& element) { return element.numbers.kind->name == "supply"; }

std::vector<const Element*> elements_in(const Model& model, const std::string& loop) {
  std::vector<const Element*> list;
  for (const Element& element : model.elements) {
    if (element.in_loop == loop) list.push_back(&element);
  }
  return list;
}

bool any_of(const std::vector<const Element*>& list, bool (*fits)(const Element&)) {
  return std::any_of(list.begin(), list.end(), [fits](const Element* element) { return fits(*element); });
}

bool has_node(const Model& model, const std::string& loop, bool (*fits)(const Node&)) {
  return std::any_of(model.nodes.begin(), model.nodes.end(),
                     [&](const Node& node) { return node.in_loop == loop && fits(node); });
}

bool is_fixed(const Node& node) { return node.kind == network::NodeKind::fixed_pressure; }
bool is_reservoir(const Node& node) { return is_fixed(node) && node.temperature.has_value(); }

/// The laws of a network ask for more of its liquid than a heat balance does.
void check_fluid(Reader& reader, const Model& model, const Loop& loop) {
  const auto unknown = [](double value) { return std::isnan(value); };
  constexpr double some_temperature = 350.0;
  const auto missing = [&](std::string_view what, std::string_view why, std::string_view example) {
    reader.error(
        loop.pointer + "/fluid", "missing_key",
        fmt::format("the {} of the liquid is missing: {}; write it such as \"{}\"", what, why, example));
  };
  if (unknown(loop.fluid.density(some_temperature)))
    missing("density", "pressure losses need it", "870 kg/m3");
  if (unknown(loop.fluid.viscosity(some_temperature)))
    missing("viscosity", "pressure losses need it", "12 mPa s");
  for (const Element* element : elements_in(model, loop.name)) {
    if (!has_key(*element, "tubes.number") || !unknown(loop.fluid.conductivity(some_temperature))) continue;
    missing("conductivity", fmt::format("the tubes of {} need it", element->name), "0.135 W/(m K)");
  }
}

void check_network(Reader& reader, const Model& model, const Loop& loop) {
  check_fluid(reader, model, loop);
  const std::vector<const Element*> list = elements_in(model, loop.name);
  if (list.empty()) {
    reader.error(loop.pointer + "/elements", "missing_key", "the loop has no elements");
    return;
  }
  const bool supplied = any_of(list, &is_supply);
  const bool reservoir = has_node(model, loop.name, &is_reservoir);
  if (!any_of(list, &is_passage) && !any_of(list, &is_cooler) && !supplied && !reservoir) {
    reader.error(
        loop.pointer, "unknown_name",
        fmt::format("nothing cools the loop {}; add an element of kind \"core\" or \"liquid_cooler\"",
                    quoted(loop.name)));
  }
  if (has_node(model, loop.name, &is_fixed)) return;
  if (supplied || !any_of(list, &is_pump)) {
    reader.error(loop.pointer, "no_opening",
                 fmt::format("no pressure is fixed in the loop {}; add a fixed_pressure node, such as the "
                             "expansion tank{}",
                             quoted(loop.name), supplied ? "" : ", or a pump"));
  }
}

void check_heat_place(Reader& reader, const Model& model, const Loop& loop) {
  const std::vector<const Element*> list = elements_in(model, loop.name);
  std::vector<std::string_view> names;
  for (const Element* element : list) names.push_back(element->name);
  if (!loop.heat_at.empty()) {
    if (std::find(names.begin(), names.end(), loop.heat_at) != names.end()) return;
    reader.error(loop.pointer + "/heat_at", "unknown_name",
                 fmt::format("no element of the loop is called {}{}", quoted(loop.heat_at),
                             suggestion(loop.heat_at, names)));
    return;
  }
  bool loaded = loop.heat_load > 0.0 || loop.heat_share.has_value();
  for (const Point& point : model.points) loaded = loaded || point.heat_load.contains(loop.name);
  if (!loaded || any_of(list, &is_pump)) return;
  reader.error(
      loop.pointer, "missing_key",
      "the key \"heat_at\" is missing: the element at whose end the heat enters, since the loop has no "
      "pump");
}

/// A core that cools a network has its liquid side there, once; one that cools a loop of fixed flow holds the
/// conductance of the liquid side itself.
void check_core(Reader& reader, const Model& model, const Element& core) {
  std::vector<const Element*> sides;
  for (const Element& element : model.elements) {
    if (is_passage(element) && element.other_side == core.name) sides.push_back(&element);
  }
  const Loop* loop = nullptr;
  for (const Loop& one : model.loops) {
    if (one.name == core.loop) loop = &one;
  }
  const bool network = loop != nullptr && loop->is_network;
  if (sides.size() > 1) {
    reader.error(
        sides[1]->pointer + "/core", "duplicate_name",
        fmt::format("the liquid side of {} stands already at {}", quoted(core.name), sides[0]->pointer));
  }
  for (const Element* side : sides) {
    if (side->in_loop == core.loop) continue;
    reader.error(side->pointer + "/core", "contradiction",
                 fmt::format("{} stands in the loop {}, but its core {} names {} as its loop", side->name,
                             quoted(side->in_loop), quoted(core.name),
                             core.loop.empty() ? "none" : quoted(core.loop)));
  }
  if (network && sides.empty()) {
    reader.error(core.pointer + "/loop", "unknown_name",
                 fmt::format("the loop {} has no element of kind \"core\" with \"core\": {}",
                             quoted(core.loop), quoted(core.name)));
  }
  const bool tubes = !sides.empty() && has_key(*sides.front(), "tubes.number");
  if (loop == nullptr || tubes || has_key(core, "liquid_conductance.value") ||
      has_key(core, "tested_heat.points")) {
    return;
  }
  reader.error(core.pointer, "missing_key",
               "\"loop\" stands without \"liquid_conductance\", and no liquid side tells its tubes");
}

/// The liquid side of a network is one element, which knows no zones of the air side.
void check_zone(Reader& reader, const Model& model, const Element& zone) {
  const Element* whole = model.find_element(zone.whole);
  for (const Loop& loop : model.loops) {
    if (whole == nullptr || loop.name != whole->loop || !loop.is_network) continue;
    reader.error(
        pointer_join(zone.pointer, "part_of"), "contradiction",
        fmt::format("{} is split into zones, and its loop {} has elements of its own; give the loop a "
                    "flow instead",
                    quoted(zone.whole), quoted(loop.name)));
  }
}

/// Both sides of a cooler between two liquids: one names the other, and they stand in two loops.
void check_cooler(Reader& reader, const Model& model, const Element& cooler) {
  const Element* other = model.find_element(cooler.other_side);
  const auto naming = std::count_if(
      model.elements.begin(), model.elements.end(),
      [&](const Element& element) { return is_cooler(element) && element.other_side == cooler.name; });
  if (cooler.other_side.empty()) {
    if (naming == 1) return;
    reader.error(cooler.pointer, naming == 0 ? "missing_key" : "duplicate_name",
                 naming == 0 ? "\"other_side\" is missing, and no other liquid_cooler names this one"
                             : fmt::format("{} elements name {} as their other side", naming, cooler.name));
    return;
  }
  if (other == nullptr || !is_cooler(*other)) {
    std::vector<std::string_view> known;
    for (const Element& element : model.elements) {
      if (is_cooler(element) && element.name != cooler.name) known.push_back(element.name);
    }
    reader.error(cooler.pointer + "/other_side", "unknown_name",
                 fmt::format("no liquid_cooler is called {}{}", quoted(cooler.other_side),
                             suggestion(cooler.other_side, known)));
  } else if (other->in_loop == cooler.in_loop) {
    reader.error(cooler.pointer + "/other_side", "contradiction",
                 fmt::format("{} stands in the same loop {}", quoted(other->name), quoted(cooler.in_loop)));
  } else if (!other->other_side.empty()) {
    reader.error(cooler.pointer + "/other_side", "conflicting_keys",
                 fmt::format("{} names its other side itself; one of the two does", quoted(other->name)));
  }
}

void check_engine_speed(Reader& reader, const Model& model) {
  for (const Element& element : model.elements) {
    if (!is_pump(element) || !has_key(element, "speed_ratio")) continue;
    for (const Point& point : model.points) {
      if (point.engine_speed) continue;
      reader.error(point.pointer, "missing_key",
                   fmt::format("the key \"engine_speed\" is missing: the engine drives {}; write it such as "
                               "\"6000 rpm\"",
                               element.name));
    }
    return;
  }
}

}  // namespace

void check_cooled_loops(Reader& reader, const Model& model) {
  for (const Loop& loop : model.loops) {
    if (loop.is_network) continue;
    const bool cooled = std::any_of(model.elements.begin(), model.elements.end(),
                                    [&loop](const Element& element) { return element.loop == loop.name; });
    if (cooled) continue;
    reader.error(loop.pointer, "unknown_name",
                 fmt::format("no core cools the loop {}; name it as \"loop\" in a core", quoted(loop.name)));
  }
}

void check_loops(Reader& reader, const Model& model) {
  for (const Loop& loop : model.loops) {
    if (!loop.is_network) continue;
    check_network(reader, model, loop);
    check_heat_place(reader, model, loop);
  }
  std::vector<std::string_view> cores;
  for (const Element& element : model.elements) {
    if (losses::is_air_core(*element.numbers.kind)) cores.push_back(element.name);
  }
  for (const Element& element : model.elements) {
    if (!element.whole.empty()) {
      check_zone(reader, model, element);
      continue;
    }
    if (losses::is_air_core(*element.numbers.kind)) check_core(reader, model, element);
    if (is_cooler(element)) check_cooler(reader, model, element);
    if (!is_passage(element)) continue;
    if (std::find(cores.begin(), cores.end(), element.other_side) != cores.end()) continue;
    reader.error(element.pointer + "/core", "unknown_name",
                 fmt::format("no core of the air side is called {}{}", quoted(element.other_side),
                             suggestion(element.other_side, cores)));
  }
  check_engine_speed(reader, model);
}

}  // namespace corefeed::model
