// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>

/// A fan that may blow in several ways.
namespace corefeed::testing {

/// It blows out against the pressure behind the car: 0.35 of the dynamic head at 93 km/h are 140 Pa. Its
/// curve dips to 100 Pa at 0.25 m3/s between tops of 200 Pa (no flow) and 180 Pa (0.5 m3/s), so that there
/// are three operating points, one on each of its straight parts; the middle one does not stay. The
/// requirement holds at the last alone.
inline nlohmann::ordered_json stalling_document() {
  return nlohmann::ordered_json::parse(R"({
    "corefeed": 1, "title": "a fan that stalls", "ambient": {"temperature": "20 degC", "pressure": "100 kPa"},
    "air": {"elements": {
      "mouth": {"kind": "inlet", "to": "before", "area": "3000 cm2", "cp": 0, "recovery": 0},
      "fan": {"kind": "fan", "from": "before", "to": "box", "area": "500 cm2", "curve": {"points": [
        {"volume_flow": "0 m3/s", "pressure_rise": "200 Pa"},
        {"volume_flow": "0.25 m3/s", "pressure_rise": "100 Pa"},
        {"volume_flow": "0.5 m3/s", "pressure_rise": "180 Pa"},
        {"volume_flow": "1 m3/s", "pressure_rise": "0 Pa"}], "shaft_speed": "2500 rpm"}},
      "outlet": {"kind": "vent", "from": "box", "area": "5000 cm2", "cp": 0.35, "discharge_coefficient": 0.62}},
      "nodes": {"before": {"kind": "plenum"}, "box": {"kind": "plenum"}}},
    "points": [{"name": "level", "speed": "93 km/h", "fans": {"fan": "on"}}],
    "requirements": [{"name": "fed", "quantity": "fan.flow", "at_least": "0.5 kg/s"}]})");
}

}  // namespace corefeed::testing
