// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/ports.hpp"

#include <gtest/gtest.h>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <algorithm>
#include <gp_Pln.hxx>

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

/// `box_duct` named "duct" in an assembly, and a port placed beside it.
std::string with_port(const TopoDS_Shape& port, const std::string& name, double x = 0) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("duct", box_duct()), shifted(0, 0, 0), "duct");
  step.place(root, step.product(name, port), shifted(x, 0, 0), name);
  return step.text();
}

TEST(Ports, ThinBodiesAndSurfacesBindOnEitherSide) {
  const TopoDS_Shape surface =
      BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 60, 40), gp_Dir(1, 0, 0)), -30, 30, -30, 30).Face();
  const TopoDS_Shape disc =
      BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(-1, 60, 40), gp_Dir(1, 0, 0)), 35, 2).Shape();
  const TopoDS_Shape large = BRepPrimAPI_MakeBox(gp_Pnt(-1, -20, -20), 1, 160, 120).Shape();
  for (const auto& port : {plate(), plate().Moved(TopLoc_Location(shifted(1, 0, 0))), surface, disc, large}) {
    const json document = measured(with_port(port, "port:duct.from"));
    const json& openings = document.at("parts").at(0).at("openings");
    ASSERT_EQ(openings.size(), 2u);
    EXPECT_EQ(openings.at(0).at("name"), "duct.from");
    EXPECT_CLOSE(openings.at(0).at("center").at(0), 0.0);
    EXPECT_CLOSE(openings.at(0).at("area"), 0.0096);
    EXPECT_TRUE(codes(document).empty());
  }
}

TEST(Ports, PortAwayFromAnyFaceIsAWarningWithCandidates) {
  const json document = measured(with_port(plate(), "port:duct.from", -5));
  const auto found = codes(document);
  EXPECT_NE(std::find(found.begin(), found.end(), "unbound_port"), found.end());
  const std::string text = document.at("warnings").at(0).at("text");
  EXPECT_NE(text.find("\"duct\" at (0.0000, 0.0600, 0.0400) m"), std::string::npos) << text;
}

TEST(Ports, PortInTheSamePlaneMustCoverTheFace) {
  const auto aside = plate().Moved(TopLoc_Location(shifted(0, 100, 0)));
  const auto found = codes(measured(with_port(aside, "port:duct.from")));
  EXPECT_NE(std::find(found.begin(), found.end(), "unbound_port"), found.end());
}

TEST(Ports, ThickBodyIsNoPort) {
  const auto found = codes(
      measured(with_port(BRepPrimAPI_MakeBox(gp_Pnt(-90, 0, 0), 90, 120, 80).Shape(), "port:duct.from")));
  EXPECT_NE(std::find(found.begin(), found.end(), "port_not_thin"), found.end());
}

/// Two boxes that meet at x = 300, the port between them.
std::string meeting(const std::string& first, const std::string& second) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product(first, box_duct()), shifted(0, 0, 0), first);
  step.place(root, step.product(second, box_duct()), shifted(300, 0, 0), second);
  step.place(root, step.product("port:nose.to", plate()), shifted(300, 0, 0), "port:nose.to");
  return step.text();
}

TEST(Ports, ElementNameDecidesBetweenPartsThatMeet) {
  const json document = measured(meeting("nose", "radiator"));
  ASSERT_EQ(document.at("parts").size(), 2u);
  EXPECT_EQ(document.at("parts").at(0).at("kind"), "flow volume");
  EXPECT_EQ(document.at("parts").at(0).at("openings").at(1).at("name"), "nose.to");
  EXPECT_EQ(document.at("parts").at(1).at("kind"), "core");
}

TEST(Ports, CoreBehindADuctIsNotMistakenForIt) {
  const json document = measured(meeting("front part", "radiator matrix"));
  EXPECT_EQ(document.at("parts").at(0).at("kind"), "flow volume");
  EXPECT_EQ(document.at("parts").at(1).at("kind"), "core");
}

TEST(Ports, TwoFacesAreAmbiguous) {
  const auto issues = refused(meeting("left", "right"));
  EXPECT_EQ(issues.front().code, "no_flow_volume");
  ASSERT_EQ(issues.size(), 2u);
  EXPECT_EQ(issues[1].code, "ambiguous_port");
  EXPECT_NE(issues[1].text.find("\"left\""), std::string::npos);
  EXPECT_NE(issues[1].text.find("\"right\""), std::string::npos);
}

}  // namespace
}  // namespace corefeed::geometry
