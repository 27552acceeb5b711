// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/parameter.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;
using Owner = Parameter::Owner;

struct Row {
  std::string_view key;
  Quantity quantity;
  double lowest, highest;
  bool above_lowest;
};
constexpr double unbounded = std::numeric_limits<double>::infinity();
constexpr std::array<Row, 2> loop_rows{{{"flow", Quantity::mass_flow, 0.0, unbounded, true},
                                        {"heat_load", Quantity::power, 0.0, unbounded, false}}};
constexpr std::array<Row, 3> ambient_rows{{{"temperature", Quantity::temperature, 233.0, 333.15, false},
                                           {"pressure", Quantity::pressure_absolute, 4e4, 1.2e5, false},
                                           {"relative_humidity", Quantity::number, 0.0, 1.0, false}}};
constexpr std::array<Row, 4> point_rows{{{"speed", Quantity::speed, 0.0, 120.0, false},
                                         {"yaw", Quantity::angle, -1.6, 1.6, false},
                                         {"engine_speed", Quantity::shaft_speed, 0.0, 3000.0, false},
                                         {"ride_height", Quantity::length, -1.0, 2.0, false}}};

bool is_number(const losses::Key& key) {
  return key.refers == losses::Refers::nothing && key.choices.empty() && key.curve == nullptr;
}

/// Every parameter of the model.
std::vector<Parameter> all_parameters(const Model& model) {
  std::vector<Parameter> list;
  const auto add = [&list](Owner owner, std::size_t index, std::size_t key, std::string name,
                           const Row& row) {
    list.push_back(
        {owner, index, key, std::move(name), row.quantity, row.lowest, row.highest, row.above_lowest});
  };
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    const losses::Kind& kind = *model.elements[e].numbers.kind;
    for (std::size_t k = 0; k < kind.keys.size(); ++k) {
      const losses::Key& key = kind.keys[k];
      if (!is_number(key)) continue;
      add(Owner::element, e, k, fmt::format("{}.{}", model.elements[e].name, key.name),
          {key.name, key.quantity, key.lowest, key.highest, key.above_lowest});
    }
  }
  for (std::size_t l = 0; l < model.loops.size(); ++l) {
    for (std::size_t k = 0; k < loop_rows.size(); ++k) {
      // The flow of a network is an answer.
      if (k == 0 && model.loops[l].is_network) continue;
      add(Owner::loop, l, k, fmt::format("{}.{}", model.loops[l].name, loop_rows[k].key), loop_rows[k]);
    }
  }
  for (std::size_t k = 0; k < ambient_rows.size(); ++k) {
    add(Owner::ambient, 0, k, fmt::format("ambient.{}", ambient_rows[k].key), ambient_rows[k]);
  }
  const auto all_have = [&model](std::optional<double> Point::*number) {
    return std::all_of(model.points.begin(), model.points.end(),
                       [number](const Point& point) { return (point.*number).has_value(); });
  };
  for (std::size_t k = 0; k < point_rows.size(); ++k) {
    if (point_rows[k].key == "engine_speed" && !all_have(&Point::engine_speed)) continue;
    if (point_rows[k].key == "ride_height" && !all_have(&Point::ride_height)) continue;
    add(Owner::points, 0, k, std::string(point_rows[k].key), point_rows[k]);
  }
  return list;
}

template <class AnyPoint>
auto point_slot(AnyPoint& point, std::size_t key) -> decltype(&point.speed) {
  if (key == 2) return &*point.engine_speed;
  if (key == 3) return &*point.ride_height;
  return key == 0 ? &point.speed : &point.yaw;
}

/// The double behind a parameter; the points' of the first point.
template <class AnyModel>
auto slot_of(AnyModel& model, const Parameter& parameter) -> decltype(&model.temperature) {
  switch (parameter.owner) {
    case Owner::element:
      return &model.elements[parameter.index].numbers.value[parameter.key];
    case Owner::loop:
      return parameter.key == 0 ? &model.loops[parameter.index].flow
                                : &model.loops[parameter.index].heat_load;
    case Owner::ambient:
      if (parameter.key == 0) return &model.temperature;
      return parameter.key == 1 ? &model.pressure : &model.relative_humidity;
    case Owner::points:
      return point_slot(model.points.front(), parameter.key);
  }
  return nullptr;
}

/// Pointers of the number in the document; several for a key of all points.
std::vector<std::string> pointers_of(const Model& model, const Parameter& parameter) {
  if (parameter.owner == Owner::points) {
    std::vector<std::string> list;
    for (const Point& point : model.points) list.push_back(pointer_join(point.pointer, parameter.name));
    return list;
  }
  std::string pointer = "/ambient";
  if (parameter.owner == Owner::element) pointer = model.elements[parameter.index].pointer;
  if (parameter.owner == Owner::loop) pointer = model.loops[parameter.index].pointer;
  std::string_view rest = std::string_view(parameter.name).substr(parameter.name.find('.') + 1);
  while (!rest.empty()) {
    const std::size_t dot = rest.find('.');
    pointer = pointer_join(pointer, rest.substr(0, dot));
    rest = dot == std::string_view::npos ? std::string_view() : rest.substr(dot + 1);
  }
  return {pointer};
}

/// The text or number at the pointer, inside {"value": ..} too.
const Value* written_value(const Value& root, const std::string& pointer, std::string& place) {
  place = pointer;
  const Value* value = find_value(root, pointer);
  if (value != nullptr && value->kind == Value::Kind::object) {
    place = pointer_join(pointer, "value");
    value = value->find("value");
  }
  return value;
}

}  // namespace

Result<Parameter> find_parameter(const Model& model, std::string_view name) {
  const std::vector<Parameter> list = all_parameters(model);
  std::vector<std::string_view> known;
  for (const Parameter& parameter : list) {
    if (parameter.name == name) return parameter;
    known.push_back(parameter.name);
  }
  Issue issue;
  issue.code = "unknown_parameter";
  issue.status = Status::usage;
  issue.text =
      fmt::format("there is no number {} in the model{}; name it ELEMENT.key, such as \"fender_vent.area\"",
                  quoted(name), suggestion(name, known));
  return issue;
}

std::optional<Issue> out_of_bounds(const Parameter& parameter, double value) {
  const bool low = parameter.above_lowest ? value <= parameter.lowest : value < parameter.lowest;
  if (!low && value <= parameter.highest) return std::nullopt;
  const auto shown = [&parameter](double one) { return units::show(one, parameter.quantity); };
  const std::string bound =
      low ? fmt::format("{} {}", parameter.above_lowest ? "above" : "at least", shown(parameter.lowest))
          : fmt::format("at most {}", shown(parameter.highest));
  Issue issue;
  issue.code = "out_of_bounds";
  issue.status = Status::usage;
  issue.text = fmt::format("{} is {}; expected {}", parameter.name, shown(value), bound);
  return issue;
}

double parameter_value(const Model& model, const Parameter& parameter) { return *slot_of(model, parameter); }

void set_parameter(Model& model, const Parameter& parameter, double value) {
  if (parameter.owner == Owner::points) {
    for (Point& point : model.points) *point_slot(point, parameter.key) = value;
    return;
  }
  *slot_of(model, parameter) = value;
  if (parameter.owner == Owner::element) {
    model.elements[parameter.index].numbers.given |= std::uint64_t{1} << parameter.key;
  }
}

std::string parameter_unit(const Model& model, const Parameter& parameter) {
  if (parameter.quantity == Quantity::number) return "";
  std::string place;
  const Value* value = written_value(model.document.root, pointers_of(model, parameter).front(), place);
  if (value != nullptr && value->kind == Value::Kind::string) return std::string(units::unit_of(value->text));
  return std::string(units::info(parameter.quantity).display);
}

bool is_in_document(const Model& model, const Parameter& parameter) {
  const Value* points = model.document.root.find("points");
  return parameter.owner != Owner::points || points->kind == Value::Kind::array;
}

void write_parameter(Model& model, const Parameter& parameter) {
  if (!is_in_document(model, parameter)) return;
  const double number = parameter_value(model, parameter);
  const std::string unit = parameter_unit(model, parameter);
  const Value value = parameter.quantity == Quantity::number
                          ? make_number(number)
                          : make_text(units::write(number, parameter.quantity, unit, 8));
  for (const std::string& pointer : pointers_of(model, parameter)) {
    std::string place;
    written_value(model.document.root, pointer, place);
    const std::string parent = place.substr(0, place.rfind('/'));
    if (find_value(model.document.root, parent) == nullptr)
      set_value(model.document.root, parent, make_object());
    set_value(model.document.root, place, value);
  }
}

}  // namespace corefeed::model
