// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "corefeed/model/model.hpp"

/// Numbers of a model by name, to be sized or swept: "fender_vent.area", "radiator.air_loss.linear",
/// "coolant.flow", "ambient.temperature", or a point's key "speed" for all points at once.
namespace corefeed::model {

/// A number found by its name.
struct Parameter {
  enum class Owner { element, loop, ambient, points } owner = Owner::element;
  std::size_t index = 0;  ///< of the element or loop
  std::size_t key =
      0;  ///< place in the kind's keys; loop: 0 flow, 1 heat_load; ambient: 0 temperature, 1
          ///< pressure, 2 relative_humidity; points: 0 speed, 1 yaw, 2 engine_speed, 3 ride_height
  std::string name;
  units::Quantity quantity = units::Quantity::number;
  double lowest = 0;  ///< SI
  double highest = 0;
  bool above_lowest = false;
};

/// Errors (status usage): unknown_parameter with the nearest name; a choice or a name is no number.
Result<Parameter> find_parameter(const Model& model, std::string_view name);

/// Issue out_of_bounds (status usage) where the parameter may not have this value (SI).
std::optional<Issue> out_of_bounds(const Parameter& parameter, double value);

/// Present value, SI; a parameter of all points gives the first point's.
double parameter_value(const Model& model, const Parameter& parameter);

/// Sets the number (and with it that it is given). The document is not touched: see `write_parameter`.
void set_parameter(Model& model, const Parameter& parameter, double value);

/// Unit in which the model writes the number, or the engineer's unit where it does not write it.
std::string parameter_unit(const Model& model, const Parameter& parameter);

/// Whether the model's file itself holds the number: not for a key of points that stand in a table.
bool is_in_document(const Model& model, const Parameter& parameter);

/// Puts the present value into the document, in its own unit; nothing where it is not the document's.
void write_parameter(Model& model, const Parameter& parameter);

}  // namespace corefeed::model
