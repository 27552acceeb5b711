// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "corefeed/model/model.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

const std::string vent_area = R"("area": "500 cm2")";

/// What the reader asks CAD for, when the vent's area stands in `geometry`.
Result<Model> read(const std::string& geometry, GeometryReference* asked = nullptr) {
  ReadOptions options;
  options.geometry = [asked](const Element& element) -> Result<MeasuredElement> {
    if (asked != nullptr) *asked = *element.geometry;
    MeasuredElement measured;
    measured.numbers = {{"area", 0.05}};
    return measured;
  };
  return parse_model(testing::changed(vent_area, R"("geometry": )" + geometry), "model.json", ".", options);
}

std::string first_code(const std::string& geometry) {
  const auto model = read(geometry);
  return model ? "" : model.issues().front().code + " " + model.issues().front().place.pointer;
}

TEST(ReadGeometry, AnOpeningMayBeChosenByWhatTellsItApart) {
  GeometryReference asked;
  const auto model = read(
      R"({"file": "a.step", "opening": {"layer": "ends", "color": "#FF00aa", "facing": "-x", "near": ["10 mm", "0 mm", "1 m"]}})",
      &asked);
  ASSERT_TRUE(model.ok()) << describe(model.issues().front());
  EXPECT_EQ(asked.opening, "");
  EXPECT_EQ(asked.selector.layer, "ends");
  EXPECT_EQ(asked.selector.color, "#ff00aa");
  EXPECT_EQ(asked.selector.facing, "-x");
  ASSERT_TRUE(asked.selector.near);
  EXPECT_DOUBLE_EQ((*asked.selector.near)[0], 0.01);
  EXPECT_DOUBLE_EQ((*asked.selector.near)[2], 1.0);
}

TEST(ReadGeometry, AVentMayNameACutout) {
  GeometryReference asked;
  ASSERT_TRUE(read(R"({"file": "a.step", "part": "fender", "cutout": "gill"})", &asked).ok());
  EXPECT_EQ(asked.cutout, "gill");
}

TEST(ReadGeometry, FaultsNameTheirPlace) {
  const std::string at = "/air/elements/outlet/geometry";
  EXPECT_EQ(first_code(R"({"file": "a.step"})"), "missing_key " + at);
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": "a", "cutout": "b"})"), "conflicting_keys " + at);
  EXPECT_EQ(first_code(R"({"file": "a.step", "core": "radiator"})"), "unknown_key " + at + "/core");
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": {"color": "red"}})"),
            "wrong_type " + at + "/opening/color");
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": {}})"), "missing_key " + at + "/opening");
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": {"near": ["1 mm", "2 mm"]}})"),
            "wrong_type " + at + "/opening/near");
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": {"near": ["1 mm", "2 mm", "3"]}})"),
            "missing_unit " + at + "/opening/near/2");
  EXPECT_EQ(first_code(R"({"file": "a.step", "opening": {"facing": "up"}})"),
            "unknown_name " + at + "/opening/facing");
}

}  // namespace
}  // namespace corefeed::model
