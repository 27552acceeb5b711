// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "corefeed/studies/study.hpp"

/// A small car at two points for the tests of reports.
namespace corefeed::reports::testing {

struct Solved {
  model::Model model;
  studies::Study study;
};

/// Its duct is a path of two pieces; the requirements are met, missed at one point and too close to call.
inline const std::string& small_text() {
  static const std::string text = R"({
  "corefeed": 1,
  "title": "a \"small\" car & more",
  "ambient": {"temperature": "20 degC", "pressure": "100 kPa"},
  "air": {
    "elements": {
      "mouth": {"kind": "inlet", "to": "front", "area": "400 cm2", "cp": 0.8},
      "nose": {"kind": "duct_path", "from": "front", "to": "face", "pieces": [
        {"kind": "duct", "length": "0.4 m", "area": "400 cm2", "hydraulic_diameter": "200 mm"},
        {"kind": "diffuser", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "500 mm"}]},
      "radiator": {"kind": "core", "from": "face", "to": "bay", "face_area": "1500 cm2",
        "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"},
        "air_conductance": {"value": "3600 W/K", "flow": "1.2 kg/s"},
        "liquid_conductance": {"value": "9000 W/K", "flow": "2 kg/s"}, "loop": "coolant"},
      "outlet": {"kind": "vent", "from": "bay", "area": "500 cm2", "cp": -0.4, "discharge_coefficient": 0.62}
    },
    "nodes": {"bay": {"kind": "plenum"}}
  },
  "loops": {"coolant": {"fluid": {"kind": "water"}, "flow": "2 kg/s", "heat_load": "40 kW"}},
  "points": [{"name": "fast", "speed": "180 km/h"},
             {"name": "slow", "speed": "60 km/h"}],
  "requirements": [
    {"name": "fed", "quantity": "radiator.flow", "at_least": "0.2 kg/s"},
    {"name": "cool", "quantity": "coolant.temperature", "at_most": "70 degC"}
  ]
}
)";
  return text;
}

inline Solved solved(const std::string& text = small_text(), const studies::StudyOptions& options = {}) {
  Result<model::Model> model = model::parse_model(text, "small.json", "");
  EXPECT_TRUE(model.ok()) << describe(model.issues().front());
  Result<studies::Study> study = studies::run_study(model.value(), options);
  EXPECT_TRUE(study.ok());
  return {std::move(model).value(), std::move(study).value()};
}

inline std::string changed(const std::string& from, const std::string& to) {
  std::string text = small_text();
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

/// Options with which nothing can be solved.
inline studies::StudyOptions hopeless() {
  studies::StudyOptions options;
  options.solver.most_iterations = 1;
  return options;
}

}  // namespace corefeed::reports::testing
