// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "corefeed/model/model.hpp"
#include "tests/fuzz/oracle.hpp"

/// A small sound model for readers that need one: an inlet, a fan, a core on a loop, a vent. Sections that
/// a target wants to replace are parameters.
namespace corefeed::fuzz {

struct SmallParts {
  std::string_view fan_curve = R"({"shutoff_pressure": "300 Pa", "free_flow": "1.2 m3/s"})";
  std::string_view points = R"([{"name": "fast", "speed": "40 m/s"}, {"name": "slow", "speed": "10 m/s"}])";
  std::string_view further = "";  ///< sections, each with a comma before it
};

inline std::string small_text(const SmallParts& parts = {}) {
  std::string text = R"({"corefeed": 1, "title": "small",
    "ambient": {"temperature": "25 degC", "pressure": "100 kPa"},
    "air": {"elements": {
      "nose": {"kind": "inlet", "to": "mouth", "area": "400 cm2", "cp": 0.8},
      "fan": {"kind": "fan", "from": "mouth", "to": "face", "area": "500 cm2", "curve": )";
  text += parts.fan_curve;
  text += R"(},
      "radiator": {"kind": "core", "from": "face", "to": "bay", "face_area": "1200 cm2",
        "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"},
        "air_conductance": {"value": "3000 W/K", "flow": "1 kg/s", "exponent": 0.4},
        "liquid_conductance": {"value": "9000 W/K", "flow": "2 kg/s"}, "loop": "coolant"},
      "vent": {"kind": "vent", "from": "bay", "area": "500 cm2", "cp": -0.3, "discharge_coefficient": 0.65}},
      "nodes": {"mouth": {"kind": "duct"}, "bay": {"kind": "plenum"}}},
    "loops": {"coolant": {"fluid": {"kind": "water"}, "flow": "2 kg/s", "heat_load": "40 kW"}},
    "requirements": [{"name": "fed", "quantity": "radiator.flow", "at_least": "0.8 kg/s"}])";
  text += parts.further;
  text += R"(, "points": )";
  text += parts.points;
  return text + "}";
}

}  // namespace corefeed::fuzz
