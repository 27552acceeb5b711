// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <map>

#include "cad_bridge/proposal/geometry_source.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/lock.hpp"
#include "tests/fuzz/measured.hpp"
#include "tests/fuzz/oracle.hpp"

/// Models that take numbers from CAD, and their locks. The first byte chooses: the bytes are what was
/// measured, and what is accepted can be built of finite numbers and agrees with its own lock; or they are a
/// lock, which the reader survives.
namespace corefeed::fuzz {
namespace {

constexpr std::string_view text = R"({"corefeed": 1, "title": "bound",
 "ambient": {"temperature": "25 degC", "pressure": "100 kPa"},
 "air": {"elements": {
  "nose_inlet": {"kind": "inlet", "to": "mouth", "cp": 0.8,
    "geometry": {"file": "parts.step", "part": "nose", "opening": "nose.from"}},
  "nose": {"kind": "duct_path", "from": "mouth", "to": "face", "geometry": {"file": "parts.step", "part": "nose"}},
  "gap": {"kind": "leak", "from": "face", "to": "bay", "length": "1 mm", "depth": "10 mm",
    "geometry": {"file": "parts.step", "part": "nose", "gap": "radiator"}},
  "radiator": {"kind": "core", "from": "face", "to": "bay",
    "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"},
    "air_conductance": {"value": "3000 W/K", "flow": "1 kg/s", "exponent": 0.4},
    "liquid_conductance": {"value": "9000 W/K", "flow": "2 kg/s"}, "loop": "coolant",
    "geometry": {"file": "parts.step", "core": "radiator"}},
  "vent": {"kind": "vent", "from": "bay", "cp": -0.3, "discharge_coefficient": 0.65,
    "geometry": {"file": "parts.step", "part": "panel", "cutout": "vent"}}},
  "nodes": {"bay": {"kind": "plenum"}, "face": {"kind": "duct"}}},
 "loops": {"coolant": {"fluid": {"kind": "water"}, "flow": "2 kg/s", "heat_load": "40 kW"}},
 "points": [{"name": "fast", "speed": "40 m/s"}]})";

Result<model::Model> bind(const worker::Measurement& measurement, const ScratchFolder& folder) {
  model::ReadOptions options;
  options.geometry = [&measurement](const model::Element& element) {
    return proposal::element_from(measurement, element);
  };
  return model::parse_model(text, folder.path("bound.corefeed"), folder.path(""), options);
}

void require_bound(const model::Model& model, const ScratchFolder& folder) {
  const model::Built built = model::build(model, model.points.front());
  for (const network::Element& element : built.problem.network.elements)
    for (std::size_t i = 0; i < element.numbers.size(); ++i)
      require((element.given >> i & 1U) == 0 || std::isfinite(element.numbers[i]),
              "bound numbers are finite");
  require_fit(model.warnings);
  folder.write("bound.corefeed.lock.json", model::lock_text(model));
  require(model::compare_lock(model).empty(), "a model agrees with the lock made of it");
}

void read_lock(std::string_view lock, const ScratchFolder& folder) {
  static const Result<worker::Measurement> measured = worker::read_measurement(measured_json, "parts.step");
  static const Result<model::Model> model = bind(measured.value(), folder);
  require(model.ok(), "the sound measurement can be bound");
  folder.write("bound.corefeed.lock.json", lock);
  const std::vector<Issue> found = model::compare_lock(model.value());
  require_fit(found);
  if (lock == model::lock_text(model.value())) require(found.empty(), "a lock agrees with its model");
}

}  // namespace

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  const auto [choice, rest] = choose(bytes, 2);
  if (choice == 1) return read_lock(rest, folder);
  const Result<worker::Measurement> measured = worker::read_measurement(rest, "parts.step");
  if (!measured) return;
  const Result<model::Model> model = bind(measured.value(), folder);
  if (!model) return require_fit(model.issues());
  require_bound(model.value(), folder);
}

}  // namespace corefeed::fuzz
