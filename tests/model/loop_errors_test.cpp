// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include <algorithm>
#include <fstream>
#include <string>

#include "corefeed/model/model.hpp"

/// What is refused in a loop that is a network, on the sample with two of them.
namespace corefeed::model {
namespace {

using Json = nlohmann::ordered_json;

struct Fault {
  const char* name;
  const char* patch;  ///< JSON merge patch on the sample
  const char* code;
  const char* pointer;
  const char* part;  ///< of the text
};

// Two hoses in a ring, and heat.
constexpr const char* bare_loop =
    R"({"loops": {"bare": {"fluid": {"kind": "water"}, "heat_load": "1 kW", "elements": {
       "there": {"kind": "hose", "from": "a", "to": "b", "bore": "20 mm", "length": "1 m"},
       "back": {"kind": "hose", "from": "b", "to": "a", "bore": "20 mm", "length": "1 m"}}}}})";

const Fault faults[] = {
    {"AirKindInALoop", R"({"loops": {"oil": {"elements": {"filter": {"kind": "vent"}}}}})", "unknown_name",
     "/loops/oil/elements/filter/kind", "stands in \"air\""},
    {"LiquidKindInTheAir",
     R"({"air": {"elements": {"pump": {"kind": "oil_pump", "from": "bay", "to": "x"}}}})", "unknown_name",
     "/air/elements/pump/kind", "stands in a loop"},
    {"MisspeltKind", R"({"loops": {"oil": {"elements": {"filter": {"kind": "hoze"}}}}})", "unknown_name",
     "/loops/oil/elements/filter/kind", "did you mean \"hose\"?"},
    {"FlowOfANetwork", R"({"loops": {"oil": {"flow": "1 kg/s"}}})", "unknown_key", "/loops/oil/flow", "flow"},
    {"NodeOfTheAir", R"({"loops": {"oil": {"elements": {"filter": {"to": "bay"}}}}})", "duplicate_name",
     "/loops/oil/elements/filter/to", "belongs to the air"},
    {"NodeOfTheOtherLoop", R"({"loops": {"oil": {"elements": {"filter": {"to": "hot_hose"}}}}})",
     "duplicate_name", "/loops/oil/elements/filter/to", "belongs to the loop \"coolant\""},
    {"NoElements", R"({"loops": {"bare": {"fluid": {"kind": "water"}, "elements": {}}}})", "missing_key",
     "/loops/bare/elements", "the loop has no elements"},
    {"NothingCools", bare_loop, "unknown_name", "/loops/bare",
     "nothing cools the loop \"bare\"; add an element of kind \"core\" or \"liquid_cooler\""},
    {"NothingHoldsAPressure", bare_loop, "no_opening", "/loops/bare",
     "no pressure is fixed in the loop \"bare\"; add a fixed_pressure node, such as the expansion tank, or a "
     "pump"},
    {"HeatWithoutPlace", bare_loop, "missing_key", "/loops/bare",
     "the key \"heat_at\" is missing: the element at whose end the heat enters, since the loop has no pump"},
    {"TwoLiquidSides",
     R"({"loops": {"coolant": {
          "elements": {"second": {"kind": "core", "core": "radiator", "from": "radiator_top", "to": "radiator_bottom",
                                  "bore": "32 mm", "loss": 9}},
          "nodes": {"radiator_top": {"kind": "duct"}, "radiator_bottom": {"kind": "duct"}}}}})",
     "duplicate_name", "/loops/coolant/elements/second/core",
     "the liquid side of \"radiator\" stands already at /loops/coolant/elements/radiator_water"},
    {"TwoNameOneSide",
     R"({"loops": {"oil": {
          "elements": {"second": {"kind": "liquid_cooler", "other_side": "plate_water", "from": "filtered",
                                  "to": "plate_outlet", "bore": "14 mm", "loss": 6,
                                  "conductance": {"value": "260 W/K", "flow": "0.4 kg/s"}}},
          "nodes": {"filtered": {"kind": "duct"}}}}})",
     "duplicate_name", "/loops/coolant/elements/plate_water",
     "2 elements name plate_water as their other side"},
    {"OtherSideInTheSameLoop",
     R"({"loops": {"coolant": {"elements": {"plate_water": {"other_side": "plate_oil"}}},
                   "oil": {"elements": {"plate_oil": {"other_side": "plate_oil"}}}}})",
     "contradiction", "/loops/oil/elements/plate_oil/other_side", "stands in the same loop \"oil\""},
    {"ZonesOfANetwork",
     R"({"air": {"elements": {"covered": {"kind": "core", "part_of": "radiator", "share": 0.4, "from": "radiator_face",
                                          "to": "bay"}},
                 "nodes": {"radiator_face": {"kind": "duct"}}}})",
     "contradiction", "/air/elements/covered/part_of",
     "\"radiator\" is split into zones, and its loop \"coolant\" has elements of its own; give the loop a "
     "flow instead"},
    {"NodeDescribedInTheWrongLoop",
     R"({"loops": {"oil": {"nodes": {"return_tee": {"kind": "duct"}}}, "coolant": {"nodes": {"return_tee": null}}}})",
     "unknown_node", "/loops/oil/nodes/return_tee",
     "the node \"return_tee\" is used in the loop \"coolant\"; describe it there"},
    {"AxisTwice", R"({"surface_pressure": {"table": "none.csv", "axes": ["yaw", "yaw"]}})", "duplicate_name",
     "/surface_pressure/axes/1", "this axis is named twice"},
    {"NoGrade", R"({"loops": {"oil": {"fluid": {"grade": "10W60x"}}}})", "unknown_name",
     "/loops/oil/fluid/grade", "\"10W60x\" is no viscosity grade; write it such as \"10W-60\""},
    {"NoEngineSpeed", R"({"points": [{"name": "here", "speed": "90 km/h"}]})", "missing_key", "/points/0",
     "engine_speed"},
    {"UnknownHeatPlace", R"({"loops": {"oil": {"heat_at": "galery"}}})", "unknown_name", "/loops/oil/heat_at",
     "did you mean \"gallery\"?"},
    {"CoreWithoutLiquidSide", R"({"loops": {"oil": {"elements": {"cooler_oil": {"core": "radiator"}}}}})",
     "contradiction", "/loops/oil/elements/cooler_oil/core", "names \"coolant\" as its loop"},
    {"UnknownCore", R"({"loops": {"oil": {"elements": {"cooler_oil": {"core": "oil_coler"}}}}})",
     "unknown_name", "/loops/oil/elements/cooler_oil/core", "did you mean \"oil_cooler\"?"},
    {"NeitherConductanceNorTubes",
     R"({"loops": {"oil": {"elements": {"cooler_oil": {"tubes": null, "turbulator": null, "loss": 9}}}}})",
     "missing_key", "/air/elements/oil_cooler", "liquid_conductance"},
    {"UnknownOtherSide", R"({"loops": {"oil": {"elements": {"plate_oil": {"other_side": "plate_wter"}}}}})",
     "unknown_name", "/loops/oil/elements/plate_oil/other_side", "did you mean \"plate_water\"?"},
    {"BothSidesName", R"({"loops": {"coolant": {"elements": {"plate_water": {"other_side": "plate_oil"}}}}})",
     "conflicting_keys", "/loops/oil/elements/plate_oil/other_side", "one of the two"},
    {"LoneSide", R"({"loops": {"oil": {"elements": {"plate_oil": {"other_side": null}}}}})", "missing_key",
     "/loops/oil/elements/plate_oil", "other_side"},
    {"LiquidOfUnknownDensity",
     R"json({"loops": {"oil": {"fluid": {"kind": "constant", "heat_capacity": "2100 J/(kg K)",
                                         "viscosity_40": null, "viscosity_100": null}}}})json",
     "missing_key", "/loops/oil/fluid", "density"},
    {"ManyFlowsFromOneNode", R"({"loops": {"oil": {"nodes": {"rail": null}}}})", "undescribed_node",
     "/loops/oil/elements/oil_pump/to", "rail"},
    {"SpeedOfNothing", R"({"loops": {"oil": {"elements": {"oil_pump": {"speed_ratio": null}}}}})",
     "missing_key", "/loops/oil/elements/oil_pump", "shaft_speed, speed_ratio"},
    {"PassesInTheReturnTank", R"({"loops": {"oil": {"elements": {"cooler_oil": {"passes": 1.5}}}}})",
     "contradiction", "/loops/oil/elements/cooler_oil", "whole number"},
    {"ThermostatBackwards",
     R"({"loops": {"coolant": {"elements": {"thermostat": {"fully_open_at": "70 degC"}}}}})", "contradiction",
     "/loops/coolant/elements/thermostat", "opens_at"},
};

class LoopErrors : public ::testing::TestWithParam<Fault> {};

TEST_P(LoopErrors, AreNamedWithTheirPlace) {
  std::ifstream file(COREFEED_SOURCE_DIR "/geometry_samples/oil_loop.corefeed");
  Json model = Json::parse(file);
  model.merge_patch(Json::parse(GetParam().patch));
  const auto read = parse_model(model.dump(), "oil_loop", ".");
  ASSERT_FALSE(read.ok());
  const auto& issues = read.issues();
  const auto found = std::find_if(issues.begin(), issues.end(), [](const Issue& issue) {
    return issue.code == GetParam().code && issue.place.pointer == GetParam().pointer;
  });
  ASSERT_NE(found, issues.end()) << issues.front().code << " at " << issues.front().place.pointer << ": "
                                 << issues.front().text;
  EXPECT_NE(found->text.find(GetParam().part), std::string::npos) << found->text;
}

INSTANTIATE_TEST_SUITE_P(Loops, LoopErrors, ::testing::ValuesIn(faults),
                         [](const auto& fault) { return std::string(fault.param.name); });

// The limits are those of SAE J300 (see fluids/oil_grade.hpp).
TEST(Loops, OilOutOfItsGradeIsTold) {
  std::ifstream file(COREFEED_SOURCE_DIR "/geometry_samples/oil_loop.corefeed");
  Json model = Json::parse(file);
  model["loops"]["oil"]["fluid"]["grade"] = "10W-60";
  const auto thin = parse_model(model.dump(), "oil_loop", ".");
  ASSERT_TRUE(thin.ok()) << thin.issues().front().text;
  ASSERT_EQ(thin.value().warnings.size(), 1u);
  EXPECT_EQ(thin.value().warnings[0].code, "out_of_grade");
  EXPECT_EQ(thin.value().warnings[0].place.pointer, "/loops/oil/fluid/grade");
  EXPECT_EQ(thin.value().warnings[0].text,
            "viscosity_100 is 14 cSt; SAE J300 asks 21.9 cSt to below 26.1 cSt of 10W-60, and 3.7 mPa s at "
            "150 degC and "
            "high shear");
  model["loops"]["oil"]["fluid"]["grade"] = "10W-40";
  const auto right = parse_model(model.dump(), "oil_loop", ".");
  ASSERT_TRUE(right.ok());
  EXPECT_TRUE(right.value().warnings.empty());
}

TEST(Loops, TheSampleIsSoundWithAllItsVariants) {
  const std::string path = COREFEED_SOURCE_DIR "/geometry_samples/oil_loop.corefeed";
  const auto model = read_model(path);
  ASSERT_TRUE(model.ok()) << model.issues().front().text;
  EXPECT_TRUE(model.value().warnings.empty());
  for (const std::string& variant : variant_names(model.value())) {
    const auto changed = read_model(path, ReadOptions{variant, {}, {}});
    EXPECT_TRUE(changed.ok()) << variant << ": " << changed.issues().front().text;
  }
}

// A ring of pump and hose without a core: the heat has nowhere to go, whatever the flow.
TEST(Loops, SomethingHasToCoolThem) {
  const auto read = parse_model(R"json({
    "corefeed": 1,
    "ambient": {"temperature": "20 degC", "pressure": "1 bar"},
    "air": {"elements": {
      "nose": {"kind": "inlet", "to": "bay", "area": "400 cm2", "cp": 0.9, "recovery": 0.95},
      "hole": {"kind": "vent", "from": "bay", "area": "400 cm2", "cp": -0.2, "discharge_coefficient": 0.6}}},
    "loops": {"water": {
      "fluid": {"kind": "water"}, "heat_load": "10 kW",
      "elements": {
        "pump": {"kind": "pump", "from": "cold", "to": "hot",
                 "curve": {"shutoff_pressure": "100 kPa", "free_flow": "200 L/min"}},
        "hose": {"kind": "hose", "from": "hot", "to": "cold", "length": "1 m", "bore": "30 mm"}}}},
    "points": [{"name": "road", "speed": "90 km/h"}]})json",
                                "ring", ".");
  ASSERT_FALSE(read.ok());
  ASSERT_EQ(read.issues().size(), 1U) << read.issues()[0].text << "; " << read.issues()[1].text;
  EXPECT_EQ(read.issues()[0].place.pointer, "/loops/water");
  EXPECT_NE(read.issues()[0].text.find("nothing cools the loop \"water\""), std::string::npos)
      << read.issues()[0].text;
}

}  // namespace
}  // namespace corefeed::model
