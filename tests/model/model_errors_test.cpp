// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>

#include "corefeed/model/model.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::parse;

/// One way to break the small model and what the user must be told.
struct Fault {
  const char* name;
  std::string_view from, to;
  std::string code;
  std::string pointer;
  int line;
  std::string fragment;
  friend std::ostream& operator<<(std::ostream& out, const Fault& fault) { return out << fault.name; }
};

constexpr std::string_view inlet =
    R"("mouth": {"kind": "inlet", "to": "front", "area": "400 cm2", "cp": 0.8})";
constexpr std::string_view seal =
    R"("seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"})";
constexpr std::string_view requirement =
    R"({"name": "fed", "quantity": "radiator.flow", "at_least": "0.5 kg/s"})";
constexpr std::string_view point = R"({"name": "fast", "speed": "180 km/h"})";

class ModelErrors : public ::testing::TestWithParam<Fault> {};

TEST_P(ModelErrors, AreTheOnlyIssueWithPlaceAndHelp) {
  const Fault& fault = GetParam();
  const Result<Model> model = parse(changed(fault.from, fault.to));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1u) << describe(model.issues()[0]) << "\n" << describe(model.issues()[1]);
  const Issue& issue = model.issues().front();
  EXPECT_EQ(issue.code, fault.code);
  EXPECT_EQ(issue.severity, Severity::error);
  EXPECT_EQ(issue.status, Status::input);
  EXPECT_EQ(issue.place.file, "car.json");
  EXPECT_EQ(issue.place.pointer, fault.pointer);
  EXPECT_EQ(issue.place.line, fault.line);
  EXPECT_NE(issue.text.find(fault.fragment), std::string::npos) << issue.text;
}

const Fault key_faults[] = {
    {"MisspeltKey", R"("area": "400 cm2")", R"("aera": "400 cm2")", "unknown_key", "/air/elements/mouth/aera",
     7, "did you mean \"area\"?"},
    {"FarKey", R"("area": "400 cm2")", R"("colour": 1, "area": "400 cm2")", "unknown_key",
     "/air/elements/mouth/colour", 7, "known here: kind, to, geometry, area"},
    {"KeyInsideAnObject", R"("linear": "24 Pa s/m")", R"("linear": "24 Pa s/m", "liner": 1)", "unknown_key",
     "/air/elements/radiator/air_loss/liner", 9, "did you mean \"linear\"?"},
    {"TopKey", R"("title")", R"("loop": {}, "title")", "unknown_key", "/loop", 3, "did you mean \"loops\"?"},
    {"MissingKey", R"("area": "400 cm2", )", "", "missing_key", "/air/elements/mouth", 7,
     "\"area\" is missing: area of the throat; write it such as \"420 cm2\""},
    {"MissingInside", R"("linear": "24 Pa s/m", )", "", "missing_key", "/air/elements/radiator", 9,
     "air_loss.linear"},
    {"MissingPartner", R"("discharge_coefficient": 0.62)",
     R"("discharge_coefficient": 0.62, "blocker": {"gap": "70 mm"})", "missing_key", "/air/elements/outlet",
     11, "\"blocker.gap\" stands without \"blocker.perimeter\""},
    {"NeitherOfTwo", R"(, "discharge_coefficient": 0.62)", "", "missing_key", "/air/elements/outlet", 11,
     "one of the keys discharge_coefficient, open_fraction, table is needed"},
    {"BothOfTwo", R"("discharge_coefficient": 0.62)",
     R"("discharge_coefficient": 0.62, "open_fraction": 0.7)", "conflicting_keys", "/air/elements/outlet", 11,
     "keep one of them"},
    {"NoCp", R"(, "cp": -0.4)", "", "missing_key", "/air/elements/outlet", 11,
     "the point \"fast\" gives none"},
    {"NoSpeed", R"(, "speed": "180 km/h")", "", "missing_key", "/points/0", 22, "speed of the car"},
    {"NoLimit", R"(, "at_least": "0.5 kg/s")", "", "missing_key", "/requirements/0", 25, "exactly one of"},
    {"TwoLimits", R"("at_least": "0.5 kg/s")", R"("at_least": "0.5 kg/s", "at_most": "2 kg/s")",
     "conflicting_keys", "/requirements/0", 25, "exactly one of"},
    {"NoKind", R"("kind": "plenum")", "", "missing_key", "/air/nodes/bay", 15,
     "duct, plenum or fixed_pressure"},
};

const Fault value_faults[] = {
    {"MissingUnit", R"("area": "400 cm2")", R"("area": 400)", "missing_unit", "/air/elements/mouth/area", 7,
     "such as \"400 cm2\""},
    {"MissingUnitInText", R"("area": "400 cm2")", R"("area": "400")", "missing_unit",
     "/air/elements/mouth/area", 7, "\"400\""},
    {"UnknownUnit", R"("area": "400 cm2")", R"("area": "400 sqcm")", "unknown_unit",
     "/air/elements/mouth/area", 7, "sqcm"},
    {"WrongDimension", R"("area": "400 cm2")", R"("area": "400 cm")", "wrong_dimension",
     "/air/elements/mouth/area", 7, "area"},
    {"LevelForADifference", R"("area": "400 cm2", "cp": 0.8)", R"("area": "400 cm2", "cp": "0.8")",
     "wrong_type", "/air/elements/mouth/cp", 7, "expected a plain number"},
    {"NegativeArea", R"("area": "400 cm2")", R"("area": "-400 cm2")", "out_of_bounds",
     "/air/elements/mouth/area", 7, "found \"-400 cm2\" for area of the throat, expected above 0 cm2"},
    {"NoArea", R"("area": "400 cm2")", R"("area": "0 cm2")", "out_of_bounds", "/air/elements/mouth/area", 7,
     "above 0"},
    {"CpTooHigh", R"("cp": 0.8)", R"("cp": 1.3)", "out_of_bounds", "/air/elements/mouth/cp", 7,
     "at most 1.2"},
    {"OwnValueOutOfBounds", R"("cp": 0.8)", R"("cp": {"value": 1.3})", "out_of_bounds",
     "/air/elements/mouth/cp", 7, "found 1.3"},
    {"OwnValueWithout", R"("cp": 0.8)", R"("cp": {"sigma": 0.1})", "missing_key", "/air/elements/mouth/cp", 7,
     "value"},
    {"NegativeSigma", R"("cp": 0.8)", R"("cp": {"value": 0.8, "sigma": -0.1})", "out_of_bounds",
     "/air/elements/mouth/cp/sigma", 7, "1-sigma"},
    {"OwnKeyMisspelt", R"("cp": 0.8)", R"("cp": {"value": 0.8, "sigam": 0.1})", "unknown_key",
     "/air/elements/mouth/cp/sigam", 7, "did you mean \"sigma\"?"},
    {"TextForAnObject", R"("air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"})",
     R"("air_loss": {"linear": [24], "quadratic": "6 Pa s2/m2"})", "wrong_type",
     "/air/elements/radiator/air_loss/linear", 9, "\"24 Pa s/m\""},
    {"Narrowing", R"("outlet_area": "1500 cm2")", R"("outlet_area": "150 cm2")", "contradiction",
     "/air/elements/cone", 8, "a diffuser widens"},
    {"GaugeForAbsolute", R"("pressure": "100 kPa")", R"("pressure": "0 kPa")", "out_of_bounds",
     "/ambient/pressure", 4, "absolute"},
    {"Version", R"("corefeed": 1)", R"("corefeed": 2)", "out_of_bounds", "/corefeed", 2, "version 1"},
    {"Confidence", R"("at_least": "0.5 kg/s")", R"("at_least": "0.5 kg/s", "confidence": 90)",
     "out_of_bounds", "/requirements/0/confidence", 25, "at most 0.9999"},
    {"LimitOfWrongDimension", R"("at_least": "0.5 kg/s")", R"("at_least": "0.5 m3/s")", "wrong_dimension",
     "/requirements/0/at_least", 25, "mass flow"},
    {"LimitWithoutUnit", R"("at_least": "0.5 kg/s")", R"("at_least": 0.5)", "missing_unit",
     "/requirements/0/at_least", 25, "0.5 kg/s"},
};

const Fault name_faults[] = {
    {"UnknownKind", R"("kind": "leak")", R"("kind": "leek")", "unknown_name", "/air/elements/seal/kind", 10,
     "did you mean \"leak\"?"},
    {"FarKind", R"("kind": "leak")", R"("kind": "banana")", "unknown_name", "/air/elements/seal/kind", 10,
     "kinds: bend"},
    {"UnknownNodeKind", R"("kind": "plenum")", R"("kind": "plenun")", "unknown_name", "/air/nodes/bay/kind",
     15, "did you mean \"plenum\"?"},
    {"UnknownChoice", R"("loop": "coolant")", R"("loop": "coolant", "arrangement": "sideways")",
     "unknown_name", "/air/elements/radiator/arrangement", 9, "counterflow"},
    {"UnknownLoop", R"("heat_load": "40 kW"})", R"("heat_load": "40 kW"},
    "oil": {"fluid": {"kind": "water"}, "flow": "1 kg/s", "heat_load": "4 kW"})",
     "unknown_name", "/loops/oil", 20, "no core cools the loop \"oil\""},
    {"UnknownPoint", R"("at_least": "0.5 kg/s")", R"("at_least": "0.5 kg/s", "at": ["fast", "fsat"])",
     "unknown_name", "/requirements/0/at/1", 25, "did you mean \"fast\"?"},
    {"UnknownFan", R"("speed": "180 km/h")", R"("speed": "180 km/h", "fans": {"fan": "on"})", "unknown_name",
     "/points/0/fans/fan", 22, "the model has no fan"},
    {"UnknownOpening", R"("speed": "180 km/h")", R"("speed": "180 km/h", "cp": {"mouht": 0.1})",
     "unknown_name", "/points/0/cp/mouht", 22, "did you mean \"mouth\"?"},
    {"UnknownFedCore", R"("length": "300 mm")", R"("length": "300 mm", "feeds": "radiatr")", "unknown_name",
     "/air/elements/cone/feeds", 8, "did you mean \"radiator\"?"},
    {"UnknownQuantity", R"("quantity": "radiator.flow")", R"("quantity": "radiator.flwo")",
     "unknown_quantity", "/requirements/0/quantity", 25, "did you mean \"radiator.flow\"?"},
    {"DuplicateKey", seal, R"("mouth": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"})",
     "duplicate_key", "/air/elements/mouth", 10, "mouth"},
    {"ElementAndNode", R"("seal": {)", R"("bay": {)", "duplicate_name", "/air/elements/radiator/to", 9,
     "taken already at /air/elements/bay"},
    {"TwoPoints", point, R"({"name": "fast", "speed": "180 km/h"}, {"name": "fast", "speed": "90 km/h"})",
     "duplicate_name", "/points/1", 22, "another point at /points/0"},
    {"TwoRequirements", requirement,
     R"({"name": "fed", "quantity": "radiator.flow", "at_least": "0.5 kg/s"}, {"name": "fed", "quantity": "radiator.flow", "at_most": "9 kg/s"})",
     "duplicate_name", "/requirements/1", 25, "\"fed\""},
    {"NameWithDot", R"("seal": {)", R"("seal.left": {)", "bad_name", "/air/elements/seal.left", 10, "dot"},
    {"NameWithBlank", R"("seal": {)", R"("left seal": {)", "bad_name", "/air/elements/left seal", 10,
     "blank"},
    {"NameWithSlash", R"("seal": {)", R"("seal/left": {)", "bad_name", "/air/elements/seal~1left", 10,
     "slash"},
    {"ReservedName", R"("seal": {)", R"("car": {)", "bad_name", "/air/elements/car", 10, "reserved"},
    {"EmptyName", R"("seal": {)", R"("": {)", "bad_name", "/air/elements/", 10, "is empty"},
    {"NodeLikeARemark", R"("from": "front")", R"("from": "x-front")", "bad_name", "/air/elements/cone/from",
     8, "marks a remark"},
};

const Fault graph_faults[] = {
    {"UnusedNode", R"("bay": {"kind": "plenum"})", R"("bay": {"kind": "plenum"}, "fron": {"kind": "duct"})",
     "unused_node", "/air/nodes/fron", 15, "did you mean \"front\"?"},
    {"UndescribedNode", R"("face": {"kind": "duct"},)", "", "undescribed_node", "/air/elements/cone/to", 8,
     "3 elements meet at the node \"face\""},
    {"SelfLoop", R"("from": "face", "to": "bay", "area": "20 cm2")",
     R"("from": "bay", "to": "bay", "area": "20 cm2")", "self_loop", "/air/elements/seal", 10,
     "starts and ends at the same node \"bay\""},
    {"NoPoints", point, "", "no_points", "/points", 21, "at least a name and a speed"},
    {"NoGeometryReader", R"("area": "500 cm2")", R"("geometry": {"file": "body.step", "opening": "louvre"})",
     "no_geometry_reader", "/air/elements/outlet/geometry", 11, "write the numbers instead"},
    {"FileOutside", R"("area": "500 cm2")", R"("geometry": {"file": "../body.step", "opening": "louvre"})",
     "file_outside", "/air/elements/outlet/geometry/file", 11, "--allow-root"},
    {"PathWithoutPieces", seal, R"("seal": {"kind": "duct_path", "from": "face", "to": "bay"})",
     "missing_key", "/air/elements/seal", 10, "either \"geometry\""},
    {"PathOfVents", seal,
     R"("seal": {"kind": "duct_path", "from": "face", "to": "bay", "pieces": [{"kind": "vent"}]})",
     "unknown_name", "/air/elements/seal/pieces/0/kind", 10, "pieces are bend, contraction"},
    {"FedCoreIsNoName", seal,
     R"("seal": {"kind": "duct_path", "from": "face", "to": "bay", "feeds": 3, "pieces": [{"kind": "loss", "area": "20 cm2", "loss": 1}]})",
     "wrong_type", "/air/elements/seal/feeds", 10, "expected a string"},
};

std::string name_of(const ::testing::TestParamInfo<Fault>& info) { return info.param.name; }
INSTANTIATE_TEST_SUITE_P(OfKeys, ModelErrors, ::testing::ValuesIn(key_faults), name_of);
INSTANTIATE_TEST_SUITE_P(OfValues, ModelErrors, ::testing::ValuesIn(value_faults), name_of);
INSTANTIATE_TEST_SUITE_P(OfNames, ModelErrors, ::testing::ValuesIn(name_faults), name_of);
INSTANTIATE_TEST_SUITE_P(OfTheGraph, ModelErrors, ::testing::ValuesIn(graph_faults), name_of);

std::vector<std::string> codes(const Result<Model>& model) {
  std::vector<std::string> list;
  if (model.ok()) return list;
  for (const Issue& issue : model.issues()) list.push_back(issue.code + " " + issue.place.pointer);
  return list;
}

TEST(ModelErrorsTogether, AllFaultsOfAFileAreReported) {
  std::string text = changed(R"("area": "400 cm2")", R"("area": 400)");
  text = changed(R"("length": "300 mm")", R"("lenght": "300 mm")", text);
  text = changed(R"("speed": "180 km/h")", R"("speed": "180 km")", text);
  text = changed(R"("heat_load": "40 kW")", R"("heat_load": "-40 kW")", text);
  text = changed(R"("temperature": "20 degC")", R"("temperature": "20 C")", text);
  const std::vector<std::string> expected{
      "unknown_unit /ambient/temperature", "missing_unit /air/elements/mouth/area",
      "unknown_key /air/elements/cone/lenght", "out_of_bounds /loops/coolant/heat_load",
      "wrong_dimension /points/0/speed"};
  EXPECT_EQ(codes(parse(text)), expected);
}

TEST(ModelErrorsTogether, TwentyAreListedAndTheRestCounted) {
  std::string keys;
  for (int i = 0; i < 30; ++i) keys += "\"key" + std::to_string(i) + "\": 1, ";
  const Result<Model> model = parse(changed("\"title\"", keys + "\"title\""));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 21u);
  EXPECT_EQ(model.issues()[19].place.pointer, "/key19");
  EXPECT_EQ(model.issues()[20].code, "more_errors");
  EXPECT_EQ(model.issues()[20].severity, Severity::error);  // behind the others where they are printed
  EXPECT_EQ(model.issues()[20].text, "10 more of this kind are not listed");
}

/// A letter of another script that looks like the one that is meant.
TEST(ModelErrorsTogether, ALetterThatOnlyLooksRightIsNamedByItsNumber) {
  const Result<Model> model = parse(changed(R"("loop": "coolant")", "\"loop\": \"co\u043Elant\""));
  ASSERT_FALSE(model.ok());
  EXPECT_NE(model.issues()[0].text.find("it holds the character U+043E; did you mean \"coolant\"?"),
            std::string::npos)
      << model.issues()[0].text;
}

TEST(ModelErrorsTogether, ANodeWithAMisspeltNameIsNamedWithItsNeighbor) {
  const Result<Model> model = parse(changed(R"("from": "front")", R"("from": "frnot")"));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(codes(model), (std::vector<std::string>{"unknown_node /air/elements/cone/from",
                                                    "unknown_node /air/elements/mouth/to"}));
  EXPECT_NE(model.issues()[0].text.find("did you mean \"front\"?"), std::string::npos)
      << model.issues()[0].text;
  EXPECT_EQ(model.issues()[0].place.line, 8);
}

TEST(ModelErrorsTogether, AMisspeltLoopLeavesTheLoopUncooled) {
  const Result<Model> model = parse(changed(R"("loop": "coolant")", R"("loop": "coolent")"));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(codes(model), (std::vector<std::string>{"unknown_name /air/elements/radiator/loop",
                                                    "unknown_name /loops/coolant"}));
  EXPECT_NE(model.issues()[0].text.find("did you mean \"coolant\"?"), std::string::npos)
      << model.issues()[0].text;
}

TEST(ModelErrorsTogether, AirMustGetInAndOut) {
  const std::string vent =
      R"("outlet": {"kind": "vent", "from": "bay", "area": "500 cm2", "cp": -0.4, "discharge_coefficient": 0.62})";
  const Result<Model> closed =
      parse(changed(vent, R"("second": {"kind": "inlet", "to": "bay", "area": "500 cm2", "cp": -0.4})"));
  EXPECT_EQ(codes(closed), std::vector<std::string>{"no_outlet /air"});
  EXPECT_NE(closed.issues()[0].text.find("add a vent"), std::string::npos) << closed.issues()[0].text;
  EXPECT_EQ(closed.issues()[0].place.line, 5);
  const std::string loss =
      R"("first": {"kind": "loss", "from": "bay", "to": "front", "area": "400 cm2", "loss": 1})";
  EXPECT_EQ(codes(parse(changed(inlet, loss))), std::vector<std::string>{"no_inlet /air"});
  EXPECT_EQ(codes(parse(changed(
                inlet, loss,
                changed(vent, R"("last": {"kind": "leak", "from": "bay", "to": "face", "area": "1 cm2"})")))),
            std::vector<std::string>{"no_opening /air"});
}

// A part that cannot be measured because of another fault is not missing its numbers as well.
TEST(ModelErrorsTogether, WhatIsLeftToCadIsNotMissingBesidesOtherFaults) {
  const std::string text =
      changed(R"("area": "500 cm2")", R"("geometry": {"file": "body.step", "opening": "louvre"})");
  EXPECT_EQ(codes(parse(changed(R"("cp": 0.8)", R"("cp": 8)", text))),
            std::vector<std::string>{"out_of_bounds /air/elements/mouth/cp"});
}

TEST(ModelErrorsTogether, AFaultOfTheMeasurementKeepsItsStatus) {
  const GeometrySource source = [](const Element&) -> Result<MeasuredElement> {
    Issue issue;
    issue.code = "unknown_opening";
    issue.status = Status::geometry;
    issue.text = "the part has no opening \"louvre\"";
    return issue;
  };
  const Result<Model> model =
      parse(changed(R"("area": "500 cm2")", R"("geometry": {"file": "body.step", "opening": "louvre"})"),
            testing::measuring(source));
  EXPECT_EQ(codes(model), std::vector<std::string>{"unknown_opening /air/elements/outlet/geometry"});
  EXPECT_EQ(model.issues()[0].status, Status::geometry);
}

TEST(ModelErrorsTogether, AFolderMayBeAllowed) {
  const std::string text =
      changed(R"("area": "500 cm2")", R"("geometry": {"file": "/parts/body.step", "opening": "a"})");
  EXPECT_EQ(codes(parse(text)), std::vector<std::string>{"file_outside /air/elements/outlet/geometry/file"});
  EXPECT_EQ(codes(parse(text, testing::allowing("/parts"))),
            std::vector<std::string>{"no_geometry_reader /air/elements/outlet/geometry"});
  EXPECT_EQ(codes(parse(text, testing::allowing("/part"))),
            std::vector<std::string>{"file_outside /air/elements/outlet/geometry/file"});
}

TEST(ModelErrorsTogether, AVariantMustExistAndBeSound) {
  const std::string text =
      changed("\"title\"", R"("variants": {"wide": {"ambient": {"pressure": 3}}}, "title")");
  const Result<Model> unknown = parse(text, testing::variant("wid"));
  EXPECT_EQ(codes(unknown), std::vector<std::string>{"unknown_variant /variants"});
  EXPECT_NE(unknown.issues()[0].text.find("did you mean \"wide\"?"), std::string::npos)
      << unknown.issues()[0].text;
  EXPECT_EQ(codes(parse(text, testing::variant("wide"))),
            std::vector<std::string>{"missing_unit /ambient/pressure"});
  EXPECT_TRUE(parse(text).ok());
  const std::string odd = changed("\"title\"", R"("variants": {"odd": 3}, "title")");
  EXPECT_EQ(codes(parse(odd)), std::vector<std::string>{"wrong_type /variants/odd"});
  EXPECT_EQ(codes(parse(odd, testing::variant("odd"))), std::vector<std::string>{"wrong_type /variants/odd"});
}

TEST(ModelErrorsTogether, WhatIsNoModelIsRefused) {
  EXPECT_EQ(codes(parse("[]")), std::vector<std::string>{"wrong_type "});
  EXPECT_EQ(codes(parse("{}")),
            (std::vector<std::string>{"missing_key ", "missing_key ", "missing_key ", "missing_key "}));
  EXPECT_EQ(codes(parse("{\"corefeed\": 1")), std::vector<std::string>{"syntax "});
}

TEST(ManyErrors, AHundredThousandUnknownKeysAreListedUpToTwentyAndCounted) {
  std::string keys;
  for (int i = 0; i < 100'000; ++i) keys += "\"k" + std::to_string(i) + "\": 0,\n";
  const Result<Model> model = parse(changed("\"title\"", keys + "\"title\""));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 21u);
  for (int i = 0; i < 20; ++i) {
    const Issue& issue = model.issues()[static_cast<std::size_t>(i)];
    EXPECT_EQ(issue.code, "unknown_key");
    EXPECT_EQ(issue.place.pointer, "/k" + std::to_string(i));
    EXPECT_EQ(issue.place.line, 3 + i);
  }
  EXPECT_EQ(model.issues()[20].code, "more_errors");
  EXPECT_EQ(model.issues()[20].text.substr(0, 6), "99980 ");
}

}  // namespace
}  // namespace corefeed::model
