// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <map>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

/// A number of the object that may be absent.
std::optional<double> number_at(Reader& reader, const Spot& object, std::string_view key, Quantity quantity,
                                std::string_view meaning, double lowest, double highest,
                                bool above_lowest = false) {
  const Spot spot = Reader::member(object, key);
  if (!spot) return std::nullopt;
  const auto number = reader.number(spot, quantity);
  const losses::Key bounds{.name = "",
                           .quantity = quantity,
                           .meaning = meaning,
                           .lowest = lowest,
                           .highest = highest,
                           .above_lowest = above_lowest};
  if (!number || !reader.within(spot, *number, bounds)) return std::nullopt;
  return number;
}

/// A temperature that a liquid of a car can have.
std::optional<double> level_at(Reader& reader, const Spot& object, std::string_view key,
                               std::string_view meaning) {
  return number_at(reader, object, key, Quantity::temperature, meaning, 223.15, 523.15);
}

std::optional<cooling::Thermostat> read_thermostat(Reader& reader, const Spot& object) {
  if (!reader.want(object, Value::Kind::object)) return std::nullopt;
  reader.refuse_unknown(object, {"opens_at", "fully_open_at", "hysteresis", "lag", "closed_share"});
  const bool both =
      static_cast<bool>(reader.required(object, "opens_at", "temperature at which it begins to open")) &&
      static_cast<bool>(reader.required(object, "fully_open_at", "temperature at which it is fully open"));
  const auto low = level_at(reader, object, "opens_at", "the temperature at which it opens");
  const auto high = level_at(reader, object, "fully_open_at", "the temperature at which it is open");
  cooling::Thermostat made;
  made.hysteresis = number_at(reader, object, "hysteresis", Quantity::temperature_difference,
                              "the thermostat's hysteresis", 0.0, 30.0)
                        .value_or(made.hysteresis);
  made.lag =
      number_at(reader, object, "lag", Quantity::time, "the thermostat's lag", 0.1, 120.0).value_or(made.lag);
  made.closed_share = number_at(reader, object, "closed_share", Quantity::number,
                                "the share of the flow through a closed thermostat", 0.0, 0.9)
                          .value_or(made.closed_share);
  if (!both || !low || !high) return std::nullopt;
  made.opens_at = *low;
  made.fully_open_at = *high;
  if (made.fully_open_at > made.opens_at) return made;
  reader.error(
      pointer_join(object.pointer, "fully_open_at"), "contradiction",
      fmt::format("the thermostat is fully open at {} but opens at {}; expected a higher temperature",
                  units::show(*high, Quantity::temperature), units::show(*low, Quantity::temperature)));
  return std::nullopt;
}

std::optional<cooling::FanControl> read_control(Reader& reader, const Spot& object, const std::string& fan) {
  if (!reader.want(object, Value::Kind::object)) return std::nullopt;
  reader.refuse_unknown(object, {"on_above", "off_below", "off_state"});
  const bool both =
      static_cast<bool>(reader.required(object, "on_above", "temperature above which the fan is on")) &&
      static_cast<bool>(reader.required(object, "off_below", "temperature below which the fan is off"));
  const auto on = level_at(reader, object, "on_above", "the temperature at which the fan is switched on");
  const auto off = level_at(reader, object, "off_below", "the temperature at which the fan is switched off");
  cooling::FanControl made;
  made.fan = fan;
  if (const Spot state = Reader::member(object, "off_state")) {
    const auto word = reader.choice(state, {"freewheeling", "stopped"});
    if (word == 1U) made.off_state = losses::FanState::stopped;
  }
  if (!both || !on || !off) return std::nullopt;
  made.on_above = *on;
  made.off_below = *off;
  if (made.on_above - made.off_below >= 0.1) return made;
  reader.error(
      pointer_join(object.pointer, "off_below"), "contradiction",
      fmt::format("the fan is switched on above {} and off below {}; expected off_below lower by at "
                  "least 0.1 K, or it would switch all the time",
                  units::show(*on, Quantity::temperature), units::show(*off, Quantity::temperature)));
  return std::nullopt;
}

}  // namespace

void read_transient(Reader& reader, const Spot& loop, Transient& transient) {
  constexpr double unbounded = std::numeric_limits<double>::infinity();
  transient.thermal_mass = number_at(reader, loop, "thermal_mass", Quantity::heat_capacity_total,
                                     "the loop's thermal mass", 0.0, unbounded, true);
  transient.temperature_limit = level_at(reader, loop, "temperature_limit", "the loop's temperature limit");
  transient.start_temperature = level_at(reader, loop, "start_temperature", "the loop's start temperature");
  if (const Spot thermostat = Reader::member(loop, "thermostat"))
    transient.thermostat = read_thermostat(reader, thermostat);
  const Spot controls = Reader::member(loop, "fan_control");
  if (!controls || !reader.want(controls, Value::Kind::object)) return;
  for (const auto& [fan, value] : controls.value->members) {
    if (is_ignored(fan)) continue;
    auto control = read_control(reader, {&value, pointer_join(controls.pointer, fan)}, fan);
    if (control) transient.fan_control.push_back(std::move(*control));
  }
}

void check_transient(Reader& reader, const Model& model) {
  std::vector<std::string_view> fans;
  for (const Element& element : model.elements) {
    if (element.numbers.kind->name == "fan") fans.push_back(element.name);
  }
  std::map<std::string, std::string> owners;
  for (const Loop& loop : model.loops) {
    for (const cooling::FanControl& control : loop.transient.fan_control) {
      const std::string pointer = pointer_join(loop.pointer + "/fan_control", control.fan);
      if (std::find(fans.begin(), fans.end(), control.fan) == fans.end()) {
        reader.error(
            pointer, "unknown_name",
            fmt::format("no fan is called {}{}", quoted(control.fan), suggestion(control.fan, fans)));
      }
      const auto [owner, fresh] = owners.emplace(control.fan, loop.name);
      if (fresh) continue;
      reader.error(pointer, "contradiction",
                   fmt::format("the fan {} is switched by the loop {} already; one loop switches a fan",
                               quoted(control.fan), owner->second));
    }
  }
}

}  // namespace corefeed::model
