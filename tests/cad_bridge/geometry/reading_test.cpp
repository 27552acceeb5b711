// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <UnitsMethods.hxx>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <regex>
#include <sstream>

#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/read_step.hpp"
#include "nlohmann/json.hpp"
#include "tests/cad_bridge/geometry/measured.hpp"
#include "tests/cad_bridge/geometry/step_text.hpp"

namespace corefeed::geometry {
namespace {

using nlohmann::json;
using testing::box_duct;
using testing::codes;
using testing::measured;
using testing::plate;
using testing::refused;
using testing::relative;
using testing::shifted;
using testing::StepText;

std::string plain_duct(const char* unit = "MM") {
  StepText step;
  step.product("nose_duct", box_duct());
  return step.text(unit);
}

/// The text with the unit of length taken out of the unit list of every context, or of the first alone.
std::string without_unit(const std::string& step, bool all = true) {
  const std::regex first_unit(R"((GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\s*\()#\d+,)");
  return std::regex_replace(
      step, first_unit, "$1",
      all ? std::regex_constants::format_default : std::regex_constants::format_first_only);
}

TEST(Reading, EveryUnitGivesTheSameSizes) {
  const std::pair<const char*, const char*> units[] = {
      {"MM", "mm"}, {"CM", "cm"}, {"M", "m"}, {"INCH", "in"}, {"FT", "ft"}};
  for (const auto& [kernel_name, name] : units) {
    const json document = measured(plain_duct(kernel_name));
    EXPECT_EQ(document.at("unit"), name);
    const json& part = document.at("parts").at(0);
    EXPECT_EQ(part.at("kind"), "flow volume");
    EXPECT_EQ(part.at("name"), "nose_duct");
    EXPECT_CLOSE(part.at("volume"), 0.3 * 0.12 * 0.08);
    EXPECT_CLOSE(part.at("openings").at(0).at("area"), 0.0096);
    EXPECT_CLOSE(part.at("openings").at(1).at("perimeter"), 0.4);
    EXPECT_CLOSE(part.at("paths").at(0).at("length"), 0.3);
    EXPECT_CLOSE(document.at("bounding_box").at(1).at(0), 0.3);
  }
}

TEST(Reading, DocumentHasTheContractsKeys) {
  const std::string text = [] {
    std::istringstream stream(plain_duct());
    MeasureRequest request;
    request.file = "nose.step";
    request.sections = 3;
    return measure_step(stream, request).value();
  }();
  const auto document = nlohmann::ordered_json::parse(text);
  const auto keys = [](const nlohmann::ordered_json& object) {
    std::string names;
    for (const auto& item : object.items()) names += item.key() + " ";
    return names;
  };
  EXPECT_EQ(keys(document), "file unit bounding_box parts gaps warnings ");
  EXPECT_EQ(document.at("file"), "nose.step");
  const auto& part = document.at("parts").at(0);
  EXPECT_EQ(keys(part), "name kind volume openings paths cutouts ");
  EXPECT_EQ(keys(part.at("openings").at(0)),
            "name area perimeter hydraulic_diameter center normal free_area blocked_by ");
  EXPECT_EQ(part.at("openings").at(0).at("free_area"), part.at("openings").at(0).at("area"));
  EXPECT_EQ(keys(part.at("paths").at(0)), "from to length narrowest stations pieces ");
  EXPECT_EQ(keys(part.at("paths").at(0).at("stations").at(0)),
            "distance area perimeter hydraulic_diameter center tangent loops ");
  EXPECT_EQ(part.at("paths").at(0).at("stations").size(), 3u);
  EXPECT_EQ(text.find('\n'), std::string::npos);
  EXPECT_EQ(text.find("-0.0,"), std::string::npos) << "a zero has no sign";
}

TEST(Reading, NoUnitIsRefusedUnlessAssumed) {
  const std::string step = without_unit(plain_duct("INCH"));
  EXPECT_EQ(refused(step).front().code, "no_unit");
  EXPECT_EQ(refused(step).front().status, Status::geometry);
  MeasureRequest request;
  request.assume_unit = "in";
  const json document = measured(step, request);
  EXPECT_EQ(document.at("unit"), "in");
  EXPECT_CLOSE(document.at("parts").at(0).at("openings").at(0).at("area"), 0.0096);
  request.assume_unit = "furlong";
  EXPECT_EQ(refused(step, request).front().code, "unknown_unit");
}

TEST(Reading, UnitOfSomeShapesOnlyIsRefused) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("air_left", box_duct()), shifted(0, 0, 0), "left");
  step.place(root, step.product("air_right", box_duct()), shifted(0, 500, 0), "right");
  EXPECT_EQ(refused(without_unit(step.text(), false)).front().code, "mixed_units");
}

// Beside the one shape, which names no unit, stands a placement that names mm: nothing but the shape counts.
TEST(Reading, UnitOfAnEmptyPlacementIsNotTheShapes) {
  std::string step = without_unit(plain_duct());
  std::smatch placement;
  ASSERT_TRUE(std::regex_search(step, placement, std::regex(R"((#\d+)\s*=\s*AXIS2_PLACEMENT_3D)")));
  const std::string extra =
      "#90001=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));"
      "#90002=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#90001))"
      "REPRESENTATION_CONTEXT('',''));#90003=SHAPE_REPRESENTATION('',(" +
      placement.str(1) + "),#90002);\n";
  step.insert(step.rfind("ENDSEC;"), extra);
  EXPECT_EQ(refused(step).front().code, "no_unit");
  MeasureRequest request;
  request.assume_unit = "mm";
  EXPECT_EQ(measured(step, request).at("unit"), "mm");
}

TEST(Reading, WhatIsNoStepIsRefused) {
  EXPECT_EQ(refused("").front().code, "not_step");
  EXPECT_NE(refused("").front().text.find("empty"), std::string::npos);
  EXPECT_EQ(refused("<html>not found</html>\n").front().code, "not_step");
  const std::string step = plain_duct();
  EXPECT_EQ(refused(step.substr(0, step.size() / 2)).front().code, "not_step");
}

TEST(Reading, DanglingReferenceIsRefused) {
  const std::string step = plain_duct();
  const std::string dangling =
      std::regex_replace(step, std::regex(R"(CLOSED_SHELL\(''\s*,\s*\(#\d+)"), "CLOSED_SHELL('',(#999999");
  ASSERT_NE(step, dangling);
  EXPECT_EQ(refused(dangling).front().code, "dangling_reference");
}

TEST(Reading, KernelSettingsAreAsBefore) {
  const std::string step = plain_duct("INCH");
  STEPCAFControl_Controller::Init();
  Interface_Static::SetCVal("xstep.cascade.unit", "M");
  UnitsMethods::SetCasCadeLengthUnit(1000.0);
  Interface_Static::SetCVal("read.stepcaf.subshapes.name", "0");
  EXPECT_CLOSE(measured(step).at("parts").at(0).at("openings").at(0).at("area"), 0.0096);
  EXPECT_STREQ(Interface_Static::CVal("xstep.cascade.unit"), "M");
  EXPECT_EQ(Interface_Static::IVal("read.stepcaf.subshapes.name"), 0);
  EXPECT_DOUBLE_EQ(UnitsMethods::GetCasCadeLengthUnit(), 1000);
  UnitsMethods::SetCasCadeLengthUnit(1.0);
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
}

TEST(Reading, FaceNamesBecomeOpenings) {
  StepText step;
  const auto duct = step.product("nose_duct", box_duct());
  step.name_face(duct, 1, "port:nose_duct.to");
  step.name_face(duct, 2, "port:nose_duct.from");
  const json document = measured(step.text());
  const json& openings = document.at("parts").at(0).at("openings");
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_EQ(openings.at(0).at("name"), "nose_duct.from");
  EXPECT_CLOSE(openings.at(0).at("center").at(0), 0.3);
  EXPECT_EQ(document.at("parts").at(0).at("paths").at(0).at("from"), "nose_duct.from");
  EXPECT_TRUE(codes(document).empty());
}

TEST(Reading, LayersNameFacesToo) {
  StepText step;
  const auto duct = step.product("nose_duct", box_duct());
  step.layer_face(duct, 1, "port:nose_duct.from");
  const json openings = measured(step.text()).at("parts").at(0).at("openings");
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_EQ(openings.at(0).at("name"), "nose_duct.from");
}

TEST(Reading, UnnamedEndsAreFoundAndTheDirectionIsAssumed) {
  const json document = measured(plain_duct());
  EXPECT_EQ(document.at("parts").at(0).at("openings").at(0).at("name"), "opening 1");
  EXPECT_EQ(codes(document), std::vector<std::string>{"direction_assumed"});
}

// Turned a quarter about z and shifted, inside an assembly that is itself shifted.
TEST(Reading, NestedPlacementsAreApplied) {
  StepText step;
  const auto root = step.assembly("car");
  const auto front = step.assembly("front");
  gp_Trsf turned;
  turned.SetRotation(gp_Ax1(gp_Pnt(), gp_Dir(0, 0, 1)), std::numbers::pi / 2);
  step.place(front, step.product("nose_duct", box_duct()), shifted(10, 0, 0) * turned, "duct");
  step.place(front, step.product("port:nose_duct.from", plate()), shifted(10, 0, 0) * turned, "");
  step.place(root, front, shifted(1000, 2000, 0), "left");
  const json document = measured(step.text());
  ASSERT_EQ(document.at("parts").size(), 1u) << "a port is no part";
  const json& part = document.at("parts").at(0);
  EXPECT_EQ(part.at("name"), "left/duct");
  const json& from = part.at("openings").at(0);
  EXPECT_EQ(from.at("name"), "nose_duct.from");
  EXPECT_CLOSE(from.at("center").at(0), 1.01 - 0.06);
  EXPECT_CLOSE(from.at("center").at(1), 2.0);
  EXPECT_NEAR(from.at("normal").at(1).get<double>(), -1, 1e-12);
  EXPECT_CLOSE(document.at("bounding_box").at(0).at(0), 1.01 - 0.12);
  EXPECT_CLOSE(document.at("bounding_box").at(1).at(1), 2.3);
}

TEST(Reading, InstanceWithoutANameTakesTheProducts) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("air_left", box_duct()), shifted(0, 0, 0), "");
  step.place(root, step.product("air_right", box_duct()), shifted(0, 500, 0), "17");
  const json parts = measured(step.text()).at("parts");
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_EQ(parts.at(0).at("name"), "air_left");
  EXPECT_EQ(parts.at(1).at("name"), "air_right");
}

TEST(Reading, SolidsOfOneProductAreNumbered) {
  TopoDS_Compound pair;
  BRep_Builder().MakeCompound(pair);
  BRep_Builder().Add(pair, box_duct());
  BRep_Builder().Add(pair, BRepPrimAPI_MakeBox(gp_Pnt(0, 500, 0), 300, 60, 60).Shape());
  StepText step;
  step.product("air", pair);
  const json parts = measured(step.text()).at("parts");
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_EQ(parts.at(0).at("name"), "air#1");
  EXPECT_EQ(parts.at(1).at("name"), "air#2");
}

// Some systems export one product whose bodies have the names.
TEST(Reading, PortsMayBeBodiesOfTheSameProduct) {
  const TopoDS_Shape duct = box_duct();
  const TopoDS_Shape port = plate();
  TopoDS_Compound both;
  BRep_Builder().MakeCompound(both);
  BRep_Builder().Add(both, duct);
  BRep_Builder().Add(both, port);
  StepText step;
  step.name_body(step.product("nose_duct", both), port, "port:nose_duct.from");
  const json parts = measured(step.text()).at("parts");
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_EQ(parts.at(0).at("name"), "nose_duct");
  EXPECT_EQ(parts.at(0).at("openings").at(0).at("name"), "nose_duct.from");
}

TEST(Reading, BodiesStandBesideFlowVolumes) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("bracket", BRepPrimAPI_MakeBox(20, 20, 200).Shape()), shifted(0, 0, 900),
             "bracket");
  step.place(root, step.product("NoseAirflow", box_duct()), shifted(0, 0, 0), "duct");
  const json parts = measured(step.text()).at("parts");
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_EQ(parts.at(0).at("kind"), "body");
  EXPECT_TRUE(parts.at(0).at("volume").is_null());
  EXPECT_EQ(parts.at(0).at("openings"), json::array());
  EXPECT_EQ(parts.at(1).at("kind"), "flow volume");
}

TEST(Reading, SolidsThatDoNotSayTheyAreAirAreRefused) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("fairing", box_duct()), shifted(0, 0, 0), "fairing");
  step.place(root, step.product("chair", box_duct()), shifted(0, 500, 0), "chair");
  const auto issue = refused(step.text()).front();
  EXPECT_EQ(issue.code, "no_flow_volume");
  EXPECT_NE(issue.text.find("fairing"), std::string::npos);
}

/// Two ducts named by their instances, the same product in each.
std::string two_ducts() {
  StepText step;
  const auto root = step.assembly("car");
  const auto side = step.assembly("side");
  step.place(side, step.product("air", box_duct()), shifted(0, 0, 0), "duct");
  step.place(root, side, shifted(0, 0, 0), "left");
  step.place(root, side, shifted(0, 500, 0), "right");
  step.place(root, step.product("vent_air", BRepPrimAPI_MakeCylinder(40, 500).Shape()), shifted(2000, 0, 0),
             "vent");
  return step.text();
}

TEST(Reading, PartIsChosenByItsPath) {
  const std::string step = two_ducts();
  EXPECT_EQ(measured(step).at("parts").size(), 3u);
  for (const char* name : {"vent", "left/duct", "right/duct", "car/right/duct"}) {
    MeasureRequest request;
    request.part = name;
    const json document = measured(step, request);
    ASSERT_EQ(document.at("parts").size(), 1u) << name;
    EXPECT_TRUE(std::string(name).ends_with(document.at("parts").at(0).at("name").get<std::string>()));
    EXPECT_CLOSE(document.at("bounding_box").at(1).at(0), 2.04);
  }
}

TEST(Reading, UnknownOrAmbiguousPartListsTheNames) {
  MeasureRequest request;
  request.part = "duckt";
  auto issue = refused(two_ducts(), request).front();
  EXPECT_EQ(issue.code, "unknown_part");
  for (const char* name : {"left/duct", "right/duct", "vent"}) {
    EXPECT_NE(issue.text.find(name), std::string::npos) << name;
  }
  request.part = "duct";
  issue = refused(two_ducts(), request).front();
  EXPECT_EQ(issue.code, "unknown_part");
  EXPECT_EQ(issue.text.find("vent"), std::string::npos);
}

TEST(Reading, SurfacesThatMakeNoPassageAreRefusedAndCounted) {
  TopoDS_Compound faces;
  BRep_Builder().MakeCompound(faces);
  TopExp_Explorer face(box_duct(), TopAbs_FACE);
  for (int i = 0; i < 3; ++i, face.Next()) BRep_Builder().Add(faces, face.Current());
  StepText step;
  step.product("skin", faces);
  const auto issue = refused(step.text()).front();
  EXPECT_EQ(issue.code, "not_closed");
  EXPECT_NE(issue.text.find("3 faces"), std::string::npos) << issue.text;
  EXPECT_NE(issue.text.find("open edges"), std::string::npos);
}

TEST(Reading, WrongUnitIsSuspected) {
  StepText step;
  step.product("duct", BRepPrimAPI_MakeBox(0.3, 0.12, 0.08).Shape());
  const auto found = codes(measured(step.text()));
  EXPECT_NE(std::find(found.begin(), found.end(), "unit_plausibility"), found.end());
}

TEST(MeasureShape, GivesWhatTheFileGives) {
  MeasureRequest request;
  request.sections = 3;
  const auto result = measure_shape(box_duct(), "nose_duct", request);
  ASSERT_TRUE(result.ok());
  const json from_shape = json::parse(result.value());
  const json from_file = measured(plain_duct());
  EXPECT_EQ(from_shape.at("unit"), "mm");
  EXPECT_CLOSE(from_shape.at("parts").at(0).at("volume"),
               from_file.at("parts").at(0).at("volume").get<double>());
  EXPECT_EQ(from_shape.at("parts").at(0).at("name"), "nose_duct");
}

TEST(MeasureShape, NullShapeIsRefused) {
  const auto result = measure_shape(TopoDS_Shape(), "nothing", {});
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.issues().front().code, "no_solid");
}

}  // namespace
}  // namespace corefeed::geometry
