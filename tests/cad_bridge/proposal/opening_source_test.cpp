// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/opening_source.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "cad_bridge/proposal/geometry_source.hpp"

namespace corefeed::proposal {
namespace {

/// A fender with a louvre behind which a rail runs, a radiator, and a duct that ends before it.
worker::Measurement measured() {
  worker::Measurement measurement;
  worker::Part panel;
  panel.name = "car/fender";
  panel.kind = "panel";
  worker::Cutout plain;
  plain.name = "hole";
  plain.area = 0.0210;
  plain.projected_area = 0.0200;
  plain.perimeter = 0.6;
  plain.blocked_by = {{"rail", 0.03, 1.0, 0.6}};
  worker::Cutout louvre;
  louvre.name = "louvre";
  louvre.projected_area = 0.0084;
  louvre.louvre = worker::Louvre{4, 0.7, 0.0132, 0.0064};
  panel.cutouts = {plain, louvre};
  worker::Part radiator;
  radiator.name = "car/radiator";
  radiator.kind = "core";
  radiator.core = worker::Core{0.15, 0.12, 0.04, {}, {1, 0, 0}};
  worker::Part duct;
  duct.name = "car/duct";
  duct.kind = "flow volume";
  worker::Opening mouth;
  mouth.name = "opening 1";
  mouth.area = 0.04;
  mouth.hydraulic_diameter = 0.2;
  mouth.normal = {-1, 0, 0};
  mouth.layers = {"ends"};
  mouth.color = "#ff0000";
  worker::Opening end = mouth;
  end.name = "opening 2";
  end.area = 0.05;
  end.center = {0.5, 0, 0};
  end.normal = {0.8, 0, 0.6};
  end.color = "#0000ff";
  duct.openings = {mouth, end};
  worker::Path left;
  left.from = "opening 1";
  left.to = "left";
  left.pieces = {{"junction", 0, 0.1, {{"angle", 0.5}}, {}, ""},
                 {"duct", 0.1, 0.4, {{"length", 0.3}, {"area", 0.04}, {"hydraulic_diameter", 0.2}}, {}, ""}};
  worker::Path right = left;
  right.to = "right";
  duct.paths = {left, right};
  measurement.parts = {panel, radiator, duct};
  measurement.gaps = {{"car/duct", "car/radiator", 1.6, 0.008, 0.9}};
  return measurement;
}

model::Element asking(std::string_view kind) {
  model::Element element;
  element.name = "asking";
  element.numbers.kind = losses::find_kind(kind);
  element.numbers.value.assign(element.numbers.kind->keys.size(), 0.0);
  element.geometry = model::GeometryReference{"car.step", "car.step", "", ""};
  return element;
}

void give(model::Element& element, std::string_view key, double value) {
  const std::size_t place = losses::find_key(*element.numbers.kind, key);
  element.numbers.value[place] = value;
  element.numbers.given |= std::uint64_t{1} << place;
}

std::map<std::string, double> numbers(const model::Element& element) {
  const auto made = element_from(measured(), element);
  EXPECT_TRUE(made.ok()) << (made.ok() ? "" : describe(made.issues().front()));
  if (!made.ok()) return {};
  return {made.value().numbers.begin(), made.value().numbers.end()};
}

Issue refused(const model::Element& element) {
  const auto made = element_from(measured(), element);
  EXPECT_FALSE(made.ok());
  return made.ok() ? Issue() : made.issues().front();
}

TEST(OpeningSource, ABodyBehindAllOfAHoleIsItsOwnCurtain) {
  model::Element vent = asking("vent");
  vent.geometry->cutout = "hole";
  const auto found = numbers(vent);
  EXPECT_DOUBLE_EQ(found.at("area"), 0.0200);
  EXPECT_NEAR(found.at("blocker.gap"), 0.03, 1e-12);
  EXPECT_NEAR(found.at("blocker.gap") * found.at("blocker.perimeter") * found.at("blocker.open_share"),
              0.03 * 0.6, 1e-12);
}

TEST(OpeningSource, ALouvreGivesItsGrossAreaAndItsThroat) {
  model::Element vent = asking("vent");
  vent.geometry->cutout = "louvre";
  auto found = numbers(vent);
  EXPECT_DOUBLE_EQ(found.at("area"), 0.0132);
  EXPECT_DOUBLE_EQ(found.at("open_fraction"), 0.0064 / 0.0132);
  EXPECT_DOUBLE_EQ(found.at("blade_angle"), 0.7);
  EXPECT_FALSE(found.contains("blocker.gap"));
  give(vent, "discharge_coefficient", 0.5);
  found = numbers(vent);
  EXPECT_FALSE(found.contains("open_fraction")) << "the model's own coefficient holds for all of it";
}

TEST(OpeningSource, OpeningsAreChosenByWhatTellsThemApart) {
  model::Element inlet = asking("inlet");
  inlet.geometry->selector.color = "#ff0000";
  EXPECT_DOUBLE_EQ(numbers(inlet).at("area"), 0.04);
  inlet.geometry->selector = {};
  inlet.geometry->selector.facing = "+x";
  EXPECT_DOUBLE_EQ(numbers(inlet).at("area"), 0.05);
  inlet.geometry->selector.facing = "+z";
  EXPECT_EQ(refused(inlet).code, "unknown_opening");
  inlet.geometry->selector = {};
  inlet.geometry->selector.near = std::array<double, 3>{0.45, 0, 0};
  EXPECT_DOUBLE_EQ(numbers(inlet).at("area"), 0.05);
  inlet.geometry->selector.near = std::array<double, 3>{0.25, 0, 0};
  EXPECT_EQ(refused(inlet).code, "unknown_opening");
  inlet.geometry->selector = {};
  inlet.geometry->selector.layer = "ends";
  const Issue both = refused(inlet);
  EXPECT_EQ(both.code, "several_openings");
  EXPECT_NE(both.text.find("opening 1 at (0.000, 0.000, 0.000) m, layer ends, color #ff0000"),
            std::string::npos)
      << both.text;
}

TEST(OpeningSource, CoresAndGaps) {
  model::Element core = asking("core");
  core.geometry->core = "radiator";
  EXPECT_DOUBLE_EQ(numbers(core).at("face_area"), 0.15);
  EXPECT_EQ(numbers(core).count("incidence"), 0u);
  core.geometry->core = "condenser";
  EXPECT_EQ(refused(core).code, "unknown_part");
  model::Element leak = asking("leak");
  leak.geometry->gap = "radiator";
  EXPECT_DOUBLE_EQ(numbers(leak).at("area"), 0.008);
  give(leak, "depth", 0.01);
  EXPECT_DOUBLE_EQ(numbers(leak).at("gap"), 0.005);
  EXPECT_DOUBLE_EQ(numbers(leak).at("length"), 1.6);
  leak.geometry->gap = "cooler";
  EXPECT_NE(refused(leak).text.find("car/duct before car/radiator"), std::string::npos);
}

TEST(OpeningSource, OnePathOfABranchedDuctIsChosenByItsEnds) {
  model::Element path = asking("duct_path");
  EXPECT_NE(refused(path).text.find("opening 1 -> left, opening 1 -> right"), std::string::npos);
  path.geometry->to = "right";
  const auto made = element_from(measured(), path);
  ASSERT_TRUE(made.ok());
  ASSERT_EQ(made.value().pieces.size(), 1U) << "the branching itself is an element of its own";
  EXPECT_EQ(made.value().pieces.front().numbers.kind->name, "duct");
}

TEST(OpeningSource, UnknownCutoutListsThem) {
  model::Element vent = asking("vent");
  vent.geometry->cutout = "gill";
  EXPECT_NE(refused(vent).text.find("hole at (0.000, 0.000, 0.000) m; louvre"), std::string::npos);
}

/// Two paths side by side under one pressure, worked out by hand: half the opening free, half behind a
/// curtain as large as that half, own loss 1. Flow 0.5 + 0.5 / sqrt(1 + 1), over that of the free opening.
TEST(Curtain, FreeAndCoveredPartsPassAirSideBySide) {
  const auto curtain = curtain_of({{"rail", 0.05, 0.5, 0.2}}, 0.02, 1.0);
  ASSERT_TRUE(curtain);
  const double flow = 0.5 + 0.5 / std::sqrt(2.0);
  const double added = 1 / (flow * flow) - 1;
  EXPECT_NEAR(0.02 / (curtain->gap * curtain->perimeter), std::sqrt(added), 1e-12);
  EXPECT_DOUBLE_EQ(curtain->gap, 0.05);
}

TEST(Curtain, ABodyInTheOpeningLeavesTheFreePartAlone) {
  const auto curtain = curtain_of({{"bar", 0.0, 0.25, 0.2}}, 0.02, 2.0);
  ASSERT_TRUE(curtain);
  const double added = 2.0 / (0.75 * 0.75) - 2.0;
  EXPECT_NEAR(0.02 / (curtain->gap * curtain->perimeter), std::sqrt(added), 1e-12);
}

TEST(Curtain, NothingBeforeItIsNoCurtain) { EXPECT_FALSE(curtain_of({}, 0.02, 1.0)); }

/// A core that stands aslant before its duct turns the air; two ducts leave open which angle that is.
TEST(OpeningSource, ACoreTakesTheAngleOfTheDuctBeforeIt) {
  worker::Measurement measurement = measured();
  measurement.gaps.front().incidence = 0.35;
  model::Element core = asking("core");
  core.geometry->core = "radiator";
  const auto number_of = [&](const char* key) {
    const auto made = element_from(measurement, core);
    EXPECT_TRUE(made.ok());
    const std::map<std::string, double> found(made.value().numbers.begin(), made.value().numbers.end());
    return found.contains(key) ? found.at(key) : -1.0;
  };
  EXPECT_EQ(number_of("incidence"), 0.35);
  measurement.gaps.push_back(measurement.gaps.front());
  EXPECT_EQ(number_of("incidence"), -1.0);
  EXPECT_EQ(number_of("face_area"), 0.15);
}

}  // namespace
}  // namespace corefeed::proposal
