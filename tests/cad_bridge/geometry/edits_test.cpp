// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/proposal/geometry_source.hpp"

/// Versions of the sample car's nose duct, as a drawing office sends them round: every binding of the model
/// finds the same opening again, and what moves is what was changed. Sizes: geometry_samples/README.md.
namespace corefeed::geometry {
namespace {

worker::Measurement measured(const std::string& name) {
  std::ifstream file(COREFEED_SOURCE_DIR "/geometry_samples/" + name + ".step", std::ios::binary);
  MeasureRequest request;
  request.file = name + ".step";
  request.sections = 11;
  const auto document = measure_step(file, request);
  EXPECT_TRUE(document.ok()) << name;
  if (!document) return {};
  auto measurement = worker::read_measurement(document.value(), request.file);
  EXPECT_TRUE(measurement.ok());
  return measurement ? std::move(measurement).value() : worker::Measurement();
}

const worker::Part& duct(const worker::Measurement& measurement) {
  static const worker::Part none;
  for (const worker::Part& part : measurement.parts) {
    if (part.name == "nose_duct") return part;
  }
  ADD_FAILURE() << "no part nose_duct";
  return none;
}

void expect_same_place(const worker::Opening& found, const worker::Opening& before) {
  EXPECT_EQ(found.name, before.name);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(found.center[i], before.center[i], 2e-4);
    EXPECT_NEAR(found.normal[i], before.normal[i], 1e-9);
  }
}

void expect_same_size(const worker::Opening& found, const worker::Opening& before) {
  EXPECT_NEAR(found.area, before.area, 1e-9 * before.area);
  EXPECT_NEAR(found.perimeter, before.perimeter, 1e-9 * before.perimeter);
}

model::Element inlet(const model::GeometryReference& reference) {
  model::Element element;
  element.name = "nose_inlet";
  element.numbers.kind = losses::find_kind("inlet");
  element.numbers.value.assign(element.numbers.kind->keys.size(), 0.0);
  element.geometry = reference;
  return element;
}

/// The ways in which a model may name the mouth.
std::vector<model::GeometryReference> bindings() {
  model::GeometryReference by_name{"nose_duct.step", "nose_duct.step", "nose_duct", "nose_duct.from"};
  model::GeometryReference by_facing{"nose_duct.step", "nose_duct.step", "nose_duct", ""};
  by_facing.selector.facing = "-x";
  model::GeometryReference by_place = by_facing;
  by_place.selector = {};
  by_place.selector.near = {0.0, 0.0, 0.18};
  return {by_name, by_facing, by_place};
}

double bound_area(const worker::Measurement& measurement, const model::GeometryReference& reference) {
  const model::Element element = inlet(reference);
  const auto found = proposal::element_from(measurement, element);
  EXPECT_TRUE(found.ok()) << (found.ok() ? "" : found.issues().front().text);
  if (!found) return 0;
  for (const auto& [key, value] : found.value().numbers) {
    if (key == "area") return value;
  }
  return 0;
}

TEST(EditedDuct, AWiderThroatMovesTheThroatAlone) {
  const worker::Measurement before = measured("nose_duct_narrow");
  const worker::Measurement after = measured("nose_duct_wider");
  const worker::Part& was = duct(before);
  const worker::Part& is = duct(after);
  ASSERT_EQ(is.openings.size(), 2u);
  for (std::size_t i = 0; i < 2; ++i) {
    expect_same_place(is.openings[i], was.openings[i]);
    expect_same_size(is.openings[i], was.openings[i]);
  }
  EXPECT_NEAR(was.paths[0].narrowest.area, 0.016, 1e-6);
  EXPECT_NEAR(is.paths[0].narrowest.area, 0.020, 1e-6);
  EXPECT_NEAR(is.paths[0].length, was.paths[0].length, 1e-5);
  ASSERT_EQ(is.paths[0].pieces.size(), was.paths[0].pieces.size());
  for (std::size_t i = 0; i < is.paths[0].pieces.size(); ++i)
    EXPECT_EQ(is.paths[0].pieces[i].kind, was.paths[0].pieces[i].kind) << i;
}

TEST(EditedDuct, ARibMovesTheNarrowestSectionAndTheVolume) {
  const worker::Measurement before = measured("nose_duct");
  const worker::Measurement after = measured("nose_duct_ribbed");
  const worker::Part& was = duct(before);
  const worker::Part& is = duct(after);
  // No piece is as short as the rib; that its loss is in none of them has to be said.
  EXPECT_TRUE(before.warnings.empty());
  ASSERT_EQ(after.warnings.size(), 1u);
  EXPECT_EQ(after.warnings[0].code, "narrow_place");
  for (std::size_t i = 0; i < 2; ++i) {
    expect_same_place(is.openings[i], was.openings[i]);
    expect_same_size(is.openings[i], was.openings[i]);
  }
  EXPECT_NEAR(was.paths[0].narrowest.area, 0.0420, 1e-6);
  EXPECT_NEAR(is.paths[0].narrowest.area, 0.300 * 0.128, 1e-6);
  EXPECT_GT(is.paths[0].narrowest.distance, 0.119);
  EXPECT_LT(is.paths[0].narrowest.distance, 0.133);
  EXPECT_NEAR(*was.volume - *is.volume, 0.300 * 0.012 * 0.012, 1e-10);
}

TEST(EditedDuct, AChamferMovesTheMouthItTouches) {
  const worker::Part was = duct(measured("nose_duct"));
  const worker::Part is = duct(measured("nose_duct_chamfered"));
  for (std::size_t i = 0; i < 2; ++i) expect_same_place(is.openings[i], was.openings[i]);
  expect_same_size(is.openings[1], was.openings[1]);
  EXPECT_NEAR(was.openings[0].area - is.openings[0].area, 32e-6, 1e-12);
  EXPECT_NEAR(was.openings[0].perimeter - is.openings[0].perimeter, (2 - std::sqrt(2.0)) * 0.008, 1e-12);
}

TEST(EditedDuct, EveryBindingFindsTheMouthAgain) {
  const std::map<std::string, double> mouths{{"nose_duct", 0.042},
                                             {"nose_duct_narrow", 0.042},
                                             {"nose_duct_wider", 0.042},
                                             {"nose_duct_ribbed", 0.042},
                                             {"nose_duct_chamfered", 0.042 - 32e-6}};
  for (const auto& [name, area] : mouths) {
    const worker::Measurement measurement = measured(name);
    for (const model::GeometryReference& binding : bindings())
      EXPECT_NEAR(bound_area(measurement, binding), area, 1e-9) << name;
  }
}

}  // namespace
}  // namespace corefeed::geometry
