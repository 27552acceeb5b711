// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <limits>

#include "corefeed/fluids/oil_grade.hpp"
#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

/// A number with bounds that is not an element's key.
std::optional<double> bounded(Reader& reader, const Spot& spot, Quantity quantity, std::string_view meaning,
                              double lowest, double highest, bool above_lowest = false,
                              OwnBand* band = nullptr) {
  const auto number = reader.number(spot, quantity, band);
  const losses::Key key{.name = "",
                        .quantity = quantity,
                        .meaning = meaning,
                        .lowest = lowest,
                        .highest = highest,
                        .above_lowest = above_lowest};
  if (!number || !reader.within(spot, *number, key)) return std::nullopt;
  return number;
}

constexpr double unbounded = std::numeric_limits<double>::infinity();

double fluid_number(Reader& reader, const Spot& object, std::string_view key, Quantity quantity) {
  const Spot spot = Reader::member(object, key);
  if (!spot) return std::numeric_limits<double>::quiet_NaN();
  const auto number = bounded(reader, spot, quantity, key, 0.0, unbounded, true);
  return number.value_or(std::numeric_limits<double>::quiet_NaN());
}

std::optional<fluids::Liquid> taken(Reader& reader, const Spot& object, Result<fluids::Liquid> made) {
  if (made) return made.value();
  for (const Issue& issue : made.issues()) reader.error(object.pointer, issue.code, issue.text);
  return std::nullopt;
}

std::optional<fluids::Liquid> read_constant(Reader& reader, const Spot& object) {
  reader.refuse_unknown(object, {"kind", "heat_capacity", "density", "viscosity", "conductivity"});
  if (!reader.required(object, "heat_capacity", "specific heat capacity of the liquid")) return std::nullopt;
  const std::size_t before = reader.issues.size();
  const double heat_capacity = fluid_number(reader, object, "heat_capacity", Quantity::heat_capacity);
  const double density = fluid_number(reader, object, "density", Quantity::density);
  const double viscosity = fluid_number(reader, object, "viscosity", Quantity::dynamic_viscosity);
  const double conductivity = fluid_number(reader, object, "conductivity", Quantity::conductivity);
  if (reader.issues.size() > before) return std::nullopt;
  return taken(reader, object, fluids::constant_liquid(heat_capacity, density, viscosity, conductivity));
}

std::optional<fluids::Liquid> read_glycol(Reader& reader, const Spot& object) {
  reader.refuse_unknown(object, {"kind", "glycol_share"});
  const Spot spot = reader.required(object, "glycol_share", "share of ethylene glycol by volume, 0 to 0.6");
  const auto share =
      spot ? bounded(reader, spot, Quantity::number, "share of glycol", 0.0, 0.6) : std::nullopt;
  if (!share) return std::nullopt;
  return taken(reader, object, fluids::water_glycol(*share));
}

/// The data sheet's viscosity has to be one of its grade: a number of another oil is soon copied.
void check_grade(Reader& reader, const Spot& spot, double viscosity_100) {
  const auto name = reader.text(spot);
  if (!name) return;
  const auto grade = fluids::oil_grade(*name);
  if (!grade) {
    reader.error(spot.pointer, "unknown_name",
                 fmt::format("{} is no viscosity grade; write it such as \"10W-60\"", quoted(*name)));
    return;
  }
  if (viscosity_100 >= grade->lowest && viscosity_100 < grade->below) return;
  const auto shown = [](double value) { return units::show(value, Quantity::kinematic_viscosity); };
  reader.warn(spot.pointer, "out_of_grade",
              fmt::format("viscosity_100 is {}; SAE J300 asks {} to {} of {}{}", shown(viscosity_100),
                          shown(grade->lowest),
                          std::isinf(grade->below) ? "any more" : "below " + shown(grade->below), *name,
                          grade->high_shear == 0.0
                              ? ""
                              : fmt::format(", and {} at 150 degC and high shear",
                                            units::show(grade->high_shear, Quantity::dynamic_viscosity))));
}

/// Oil as its data sheet has it: kinematic viscosity at 40 and 100 degC, density at 15 degC.
std::optional<fluids::Liquid> read_oil(Reader& reader, const Spot& object) {
  reader.refuse_unknown(object, {"kind", "viscosity_40", "viscosity_100", "density_15", "grade"});
  const bool both =
      static_cast<bool>(reader.required(object, "viscosity_40", "kinematic viscosity at 40 degC")) &&
      static_cast<bool>(reader.required(object, "viscosity_100", "kinematic viscosity at 100 degC"));
  if (!both) return std::nullopt;
  const std::size_t before = reader.issues.size();
  const double cold = fluid_number(reader, object, "viscosity_40", Quantity::kinematic_viscosity);
  const double hot = fluid_number(reader, object, "viscosity_100", Quantity::kinematic_viscosity);
  const double density = fluid_number(reader, object, "density_15", Quantity::density);
  if (const Spot grade = Reader::member(object, "grade")) check_grade(reader, grade, hot);
  if (reader.issues.size() > before) return std::nullopt;
  return taken(reader, object, fluids::oil(cold, 313.15, hot, 373.15, density));
}

std::optional<fluids::Liquid> read_fluid(Reader& reader, const Spot& object) {
  if (!reader.want(object, Value::Kind::object)) return std::nullopt;
  std::size_t kind = 0;
  if (const Spot spot = Reader::member(object, "kind")) {
    const auto chosen = reader.choice(spot, {"constant", "water", "water_glycol", "oil"});
    if (!chosen) return std::nullopt;
    kind = *chosen;
  }
  switch (kind) {
    case 1:
      reader.refuse_unknown(object, {"kind"});
      return fluids::water();
    case 2:
      return read_glycol(reader, object);
    case 3:
      return read_oil(reader, object);
    default:
      return read_constant(reader, object);
  }
}

void read_loop(Reader& reader, const Spot& object, const std::string& name, Model& model) {
  if (!reader.check_name(object.pointer, name) || !reader.want(object, Value::Kind::object)) return;
  Loop loop;
  loop.name = name;
  loop.pointer = object.pointer;
  loop.is_network = static_cast<bool>(Reader::member(object, "elements"));
  std::vector<std::string_view> known{"fluid",   "heat_load", "heat_share", "heat_rule",
                                      "heat_at", "elements",  "nodes"};
  if (!loop.is_network) {
    known = {"fluid", "heat_load", "heat_share", "heat_rule", "flow", "cap_pressure", "elements"};
    known.insert(known.end(), std::begin(transient_keys), std::end(transient_keys));
  }
  reader.refuse_unknown(object, known);
  const Spot fluid = reader.required(object, "fluid", "what flows in the loop");
  const Spot flow = loop.is_network ? Spot() : reader.required(object, "flow", "mass flow of the loop");
  if (fluid) {
    const auto liquid = read_fluid(reader, fluid);
    if (liquid) loop.fluid = *liquid;
  }
  if (flow) {
    loop.flow =
        bounded(reader, flow, Quantity::mass_flow, "the loop's flow", 0.0, unbounded, true, &loop.flow_band)
            .value_or(1.0);
  }
  read_heat(reader, object, loop);
  if (const Spot cap = Reader::member(object, "cap_pressure")) {
    loop.cap_pressure =
        bounded(reader, cap, Quantity::pressure_gauge, "the cap's opening pressure", 0.0, 3e5);
  }
  if (const Spot place = Reader::member(object, "heat_at"); place && loop.is_network) {
    loop.heat_at = reader.word(place).value_or("");
  }
  if (loop.is_network) {
    read_parts(reader, object, name, model);
  } else {
    read_transient(reader, object, loop.transient);
  }
  model.loops.push_back(std::move(loop));
}

/// An object of numbers by name: heat loads by loop, pressure coefficients by opening.
std::map<std::string, double> read_map(Reader& reader, const Spot& point, std::string_view key,
                                       Quantity quantity, std::string_view meaning, double lowest,
                                       double highest) {
  std::map<std::string, double> numbers;
  const Spot object = Reader::member(point, key);
  if (!object || !reader.want(object, Value::Kind::object)) return numbers;
  for (const auto& [name, value] : object.value->members) {
    if (is_ignored(name)) continue;
    const auto number =
        bounded(reader, {&value, pointer_join(object.pointer, name)}, quantity, meaning, lowest, highest);
    if (number) numbers[name] = *number;
  }
  return numbers;
}

void read_point(Reader& reader, const Spot& object, Model& model) {
  if (!reader.want(object, Value::Kind::object)) return;
  reader.refuse_unknown(object, {"name", "speed", "yaw", "ride_height", "engine_speed", "shaft_power",
                                 "heat_load", "cp", "fans"});
  Point point;
  point.pointer = object.pointer;
  const Spot name = reader.required(object, "name", "what the point is called");
  if (name) point.name = reader.word(name).value_or("");
  const Spot speed = reader.required(object, "speed", "speed of the car");
  if (speed)
    point.speed = bounded(reader, speed, Quantity::speed, "speed of the car", 0.0, 120.0).value_or(0.0);
  if (const Spot yaw = Reader::member(object, "yaw")) {
    point.yaw = bounded(reader, yaw, Quantity::angle, "yaw", -1.6, 1.6).value_or(0.0);
  }
  if (const Spot height = Reader::member(object, "ride_height")) {
    point.ride_height = bounded(reader, height, Quantity::length, "the ride height", -1.0, 2.0);
  }
  if (const Spot engine = Reader::member(object, "engine_speed")) {
    point.engine_speed = bounded(reader, engine, Quantity::shaft_speed, "the engine speed", 0.0, 3000.0);
  }
  if (const Spot power = Reader::member(object, "shaft_power")) {
    point.shaft_power = bounded(reader, power, Quantity::power, "the shaft power", 0.0, unbounded);
  }
  point.heat_load = read_map(reader, object, "heat_load", Quantity::power, "the heat load", 0.0, unbounded);
  point.cp = read_map(reader, object, "cp", Quantity::number, "the pressure coefficient", -6.0, 1.2);
  const Spot fans = Reader::member(object, "fans");
  if (fans && reader.want(fans, Value::Kind::object)) {
    for (const auto& [fan, value] : fans.value->members) {
      if (is_ignored(fan)) continue;
      const auto state = reader.choice({&value, pointer_join(fans.pointer, fan)},
                                       {"on", "freewheeling", "stopped", "removed"});
      if (state) point.fans[fan] = static_cast<losses::FanState>(*state);
    }
  }
  model.points.push_back(std::move(point));
}

void read_requirement(Reader& reader, const Spot& object, Model& model) {
  if (!reader.want(object, Value::Kind::object)) return;
  reader.refuse_unknown(object, {"name", "quantity", "at_least", "at_most", "at", "confidence"});
  Requirement requirement;
  requirement.pointer = object.pointer;
  const Spot quantity = reader.required(object, "quantity", "what is judged, such as \"radiator.flow\"");
  if (quantity) requirement.quantity = reader.text(quantity).value_or("");
  requirement.name = requirement.quantity;
  if (const Spot name = Reader::member(object, "name")) requirement.name = reader.word(name).value_or("");
  const Spot low = Reader::member(object, "at_least");
  const Spot high = Reader::member(object, "at_most");
  if (static_cast<bool>(low) == static_cast<bool>(high)) {
    reader.error(object.pointer, low ? "conflicting_keys" : "missing_key",
                 "a requirement has exactly one of \"at_least\" and \"at_most\"");
  }
  requirement.at_least = static_cast<bool>(low);
  if (const Spot confidence = Reader::member(object, "confidence")) {
    requirement.confidence = bounded(reader, confidence, Quantity::number, "the confidence", 0.5, 0.9999);
  }
  if (const Spot at = Reader::member(object, "at")) {
    if (at.value->kind == Value::Kind::array) {
      for (std::size_t i = 0; i < at.value->items.size(); ++i) {
        const Spot one{&at.value->items[i], pointer_join(at.pointer, fmt::format("{}", i))};
        if (const auto name = reader.word(one)) requirement.at.push_back(*name);
      }
    } else {
      reader.choice(at, {"all"});
    }
  }
  model.requirements.push_back(std::move(requirement));
}

}  // namespace

void read_ambient(Reader& reader, Model& model) {
  const Spot root = reader.root();
  const Spot ambient = reader.required(root, "ambient", "temperature, pressure and humidity of the air");
  if (ambient && reader.want(ambient, Value::Kind::object)) {
    reader.refuse_unknown(ambient, {"temperature", "pressure", "relative_humidity"});
    const Spot temperature = reader.required(ambient, "temperature", "temperature of the air");
    const Spot pressure = reader.required(ambient, "pressure", "absolute pressure of the air");
    if (temperature) {
      model.temperature =
          bounded(reader, temperature, Quantity::temperature, "the ambient temperature", 233.0, 333.15)
              .value_or(293.15);
    }
    if (pressure) {
      model.pressure = bounded(reader, pressure, Quantity::pressure_absolute,
                               "the ambient pressure (absolute, about 100 kPa at sea level)", 4e4, 1.2e5)
                           .value_or(1e5);
    }
    if (const Spot humidity = Reader::member(ambient, "relative_humidity")) {
      model.relative_humidity =
          bounded(reader, humidity, Quantity::number, "the relative humidity", 0.0, 1.0).value_or(0.0);
    }
  }
  const Spot reference = Reader::member(root, "reference");
  if (!reference || !reader.want(reference, Value::Kind::object)) return;
  reader.refuse_unknown(reference, {"frontal_area"});
  if (const Spot area = Reader::member(reference, "frontal_area")) {
    model.frontal_area =
        bounded(reader, area, Quantity::area, "the frontal area", 0.0, unbounded, true).value_or(0.0);
  }
}

void read_loops(Reader& reader, Model& model) {
  const Spot loops = Reader::member(reader.root(), "loops");
  if (!loops || !reader.want(loops, Value::Kind::object)) return;
  for (const auto& [name, value] : loops.value->members) {
    if (is_ignored(name)) continue;
    read_loop(reader, {&value, pointer_join(loops.pointer, name)}, name, model);
  }
}

void read_points(Reader& reader, Model& model) {
  const Spot points = reader.required(reader.root(), "points", "the operating points to solve");
  if (points && points.value->kind == Value::Kind::object) return read_points_table(reader, points, model);
  if (!points || !reader.want(points, Value::Kind::array)) return;
  if (points.value->items.empty()) {
    reader.error(points.pointer, "no_points",
                 "the list of points is empty; give at least a name and a speed");
  }
  for (std::size_t i = 0; i < points.value->items.size(); ++i) {
    read_point(reader, {&points.value->items[i], pointer_join(points.pointer, fmt::format("{}", i))}, model);
  }
}

void read_requirements(Reader& reader, Model& model) {
  const Spot list = Reader::member(reader.root(), "requirements");
  if (!list || !reader.want(list, Value::Kind::array)) return;
  for (std::size_t i = 0; i < list.value->items.size(); ++i) {
    read_requirement(reader, {&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))},
                     model);
  }
}

}  // namespace corefeed::model
