// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <utility>

#include "corefeed/model/model.hpp"

/// A small sound model as text, to be broken or varied by replacing words of it.
namespace corefeed::model::testing {

// One element a line, so that a test can say on which line an issue must stand.
inline constexpr std::string_view small_text = R"({
  "corefeed": 1,
  "title": "small",
  "ambient": {"temperature": "20 degC", "pressure": "100 kPa"},
  "air": {
    "elements": {
      "mouth": {"kind": "inlet", "to": "front", "area": "400 cm2", "cp": 0.8},
      "cone": {"kind": "diffuser", "from": "front", "to": "face", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "300 mm"},
      "radiator": {"kind": "core", "from": "face", "to": "bay", "face_area": "1500 cm2", "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"}, "air_conductance": {"value": "3600 W/K", "flow": "1.2 kg/s"}, "liquid_conductance": {"value": "9000 W/K", "flow": "2 kg/s"}, "loop": "coolant"},
      "seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"},
      "outlet": {"kind": "vent", "from": "bay", "area": "500 cm2", "cp": -0.4, "discharge_coefficient": 0.62}
    },
    "nodes": {
      "face": {"kind": "duct"},
      "bay": {"kind": "plenum"}
    }
  },
  "loops": {
    "coolant": {"fluid": {"kind": "water"}, "flow": "2 kg/s", "heat_load": "40 kW"}
  },
  "points": [
    {"name": "fast", "speed": "180 km/h"}
  ],
  "requirements": [
    {"name": "fed", "quantity": "radiator.flow", "at_least": "0.5 kg/s"}
  ]
}
)";

/// The small model with the first `from` replaced; a `from` that is not there is a mistake of the test.
inline std::string changed(std::string_view from, std::string_view to,
                           std::string text = std::string(small_text)) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  if (at != std::string::npos) text.replace(at, from.size(), to);
  return text;
}

inline Result<Model> parse(const std::string& text, const ReadOptions& options = {}) {
  return parse_model(text, "car.json", "", options);
}

inline ReadOptions variant(std::string name) {
  ReadOptions options;
  options.variant = std::move(name);
  return options;
}

inline ReadOptions allowing(std::string root) {
  ReadOptions options;
  options.allow_roots = {std::move(root)};
  return options;
}

inline ReadOptions measuring(GeometrySource source) {
  ReadOptions options;
  options.geometry = std::move(source);
  return options;
}

/// The model of a text that must be sound.
inline Model sound(const std::string& text = std::string(small_text), const ReadOptions& options = {}) {
  Result<Model> model = parse(text, options);
  EXPECT_TRUE(model.ok()) << describe(model.issues().front());
  return model.ok() ? std::move(model).value() : Model();
}

inline double number_of(const Model& model, std::string_view element, std::string_view key) {
  const Numbers& numbers = model.find_element(element)->numbers;
  return numbers.value.at(losses::find_key(*numbers.kind, key));
}

inline bool is_given(const Model& model, std::string_view element, std::string_view key) {
  const Numbers& numbers = model.find_element(element)->numbers;
  return (numbers.given >> losses::find_key(*numbers.kind, key) & 1U) != 0;
}

}  // namespace corefeed::model::testing
