// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <cmath>
#include <gp_Ax2.hxx>
#include <numbers>

#include "cad_bridge/geometry/blockers.hpp"
#include "cad_bridge/geometry/channels.hpp"
#include "cad_bridge/geometry/raster.hpp"
#include "cad_bridge/geometry/thin_wall.hpp"
#include "tests/cad_bridge/geometry/measured.hpp"
#include "tests/cad_bridge/geometry/step_text.hpp"

namespace corefeed::geometry {
namespace {

using nlohmann::json;
using std::numbers::pi;
using testing::codes;
using testing::measured;
using testing::relative;
using testing::shifted;
using testing::StepText;

TopoDS_Shape box(double x0, double y0, double z0, double x1, double y1, double z1) {
  return BRepPrimAPI_MakeBox(gp_Pnt(x0, y0, z0), gp_Pnt(x1, y1, z1)).Shape();
}

TopoDS_Shape pipe(double bore, double wall, double length) {
  return BRepAlgoAPI_Cut(BRepPrimAPI_MakeCylinder(bore / 2 + wall, length).Shape(),
                         BRepPrimAPI_MakeCylinder(bore / 2, length).Shape())
      .Shape();
}

/// 400 mm x 300 mm x 2 mm, its upper side at z = 0, with a hole 200 mm x 100 mm from (100, 100).
TopoDS_Shape panel() {
  return BRepAlgoAPI_Cut(box(0, 0, -2, 400, 300, 0), box(100, 100, -5, 300, 200, 5)).Shape();
}

TEST(ThinWalls, PipesAndPanelsAreToldFromAir) {
  EXPECT_EQ(thin_wall_of(pipe(100, 2, 300), true).kind, ThinWall::Kind::sheet_part);
  EXPECT_EQ(thin_wall_of(panel(), true).kind, ThinWall::Kind::panel);
  EXPECT_EQ(thin_wall_of(panel(), false).kind, ThinWall::Kind::none);
  // The air round a hub, the air round a vane, a plate without holes, a thick block with a bore.
  EXPECT_EQ(thin_wall_of(pipe(80, 60, 300), true).kind, ThinWall::Kind::none);
  EXPECT_EQ(
      thin_wall_of(BRepAlgoAPI_Cut(box(0, 0, 0, 500, 120, 60), box(200, 40, -5, 300, 43, 65)).Shape(), true)
          .kind,
      ThinWall::Kind::none);
  EXPECT_EQ(thin_wall_of(box(0, 0, 0, 400, 300, 2), true).kind, ThinWall::Kind::none);
  EXPECT_EQ(
      thin_wall_of(BRepAlgoAPI_Cut(
                       box(0, 0, 0, 100, 100, 60),
                       BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(50, 50, -1), gp_Dir(0, 0, 1)), 20, 80).Shape())
                       .Shape(),
                   true)
          .kind,
      ThinWall::Kind::none);
}

TEST(Channels, ABlindHoleIsNone) {
  const TopoDS_Shape block = BRepAlgoAPI_Cut(box(0, 0, 0, 100, 100, 60), box(20, 20, 40, 50, 50, 80)).Shape();
  EXPECT_TRUE(find_channels(block).empty());
}

TEST(Raster, OutlinesLoseTheirSteps) {
  const std::vector<std::vector<Vec3>> square{{{0, 0, 0}, {100, 0, 0}, {100, 100, 0}, {0, 100, 0}}};
  const Raster raster({Vec3::Zero(), Vec3::UnitZ()}, square, 0.1);
  const auto all = [](std::size_t, std::size_t) { return true; };
  EXPECT_NEAR(raster.outline_length(raster.inside(square), all), 400, 1);
  // A diamond and a circle inside: their outlines run across the cells.
  const std::vector<std::vector<Vec3>> diamond{{{50, 0, 0}, {100, 50, 0}, {50, 100, 0}, {0, 50, 0}}};
  EXPECT_NEAR(raster.outline_length(raster.inside(diamond), all), 200 * std::sqrt(2.0), 1.5);
  std::vector<std::vector<Vec3>> circle(1);
  for (int i = 0; i < 360; ++i)
    circle[0].emplace_back(50 + 40 * std::cos(i * pi / 180), 50 + 40 * std::sin(i * pi / 180), 0);
  EXPECT_NEAR(raster.outline_length(raster.inside(circle), all), 80 * pi, 0.0075 * 80 * pi);
}

nlohmann::json hole_before(const TopoDS_Shape& body, const std::string& name = "body") {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("panel", panel()), shifted(0, 0, 0), "panel");
  step.place(root, step.product(name, body), shifted(0, 0, 0), name);
  return measured(step.text());
}

TEST(Blockers, APlateBehindAllOfTheHoleLeavesTheWholeRimOpen) {
  const json hole = hole_before(box(50, 50, -24, 350, 250, -22)).at("parts").at(0).at("cutouts").at(0);
  EXPECT_DOUBLE_EQ(hole.at("free_area").get<double>(), 0.0);
  const json& blocker = hole.at("blocked_by").at(0);
  EXPECT_DOUBLE_EQ(blocker.at("share").get<double>(), 1.0);
  EXPECT_NEAR(blocker.at("gap").get<double>(), 0.020, 1e-6);
  EXPECT_NEAR(blocker.at("open_perimeter").get<double>(), 0.6, 1e-9);
}

/// The plate's own upright shuts one long side of the gap.
TEST(Blockers, AnUprightShutsItsSideOfTheGap) {
  const TopoDS_Shape bracket =
      BRepAlgoAPI_Fuse(box(50, 90, -24, 350, 250, -22), box(50, 90, -24, 350, 97, -2.5)).Shape();
  const json blocker = hole_before(bracket).at("parts").at(0).at("cutouts").at(0).at("blocked_by").at(0);
  EXPECT_NEAR(blocker.at("open_perimeter").get<double>(), 0.4, 0.004);
}

TEST(Blockers, ARodThroughTheHoleLeavesNoGap) {
  const json hole = hole_before(box(190, 140, -60, 210, 160, 60)).at("parts").at(0).at("cutouts").at(0);
  EXPECT_NEAR(hole.at("blocked_by").at(0).at("share").get<double>(), 0.02, 2e-4);
  EXPECT_EQ(hole.at("blocked_by").at(0).at("gap").get<double>(), 0.0);
}

TEST(Blockers, WhatIsFarAwayDoesNotCount) {
  // The hydraulic diameter is 133 mm; the limit lies at 267 mm.
  EXPECT_FALSE(hole_before(box(50, 50, -300, 350, 250, -260))
                   .at("parts")
                   .at(0)
                   .at("cutouts")
                   .at(0)
                   .at("blocked_by")
                   .empty());
  EXPECT_TRUE(hole_before(box(50, 50, -300, 350, 250, -272))
                  .at("parts")
                  .at(0)
                  .at("cutouts")
                  .at(0)
                  .at("blocked_by")
                  .empty());
}

TEST(Blockers, AMeshIsReportedAndDoesNotBlock) {
  const json document = hole_before(box(50, 50, -24, 350, 250, -22), "stone_guard");
  EXPECT_TRUE(document.at("parts").at(0).at("cutouts").at(0).at("blocked_by").empty());
  const auto found = codes(document);
  EXPECT_NE(std::find(found.begin(), found.end(), "mesh_before_opening"), found.end());
}

TEST(Blockers, StandBeforeTheEndOfADuctToo) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("nose_air", box(0, 0, 0, 300, 120, 80)), shifted(0, 0, 0), "nose_air");
  step.place(root, step.product("beam", box(-40, -10, -10, -30, 30, 90)), shifted(0, 0, 0), "beam");
  const json found = measured(step.text());
  for (const json& end : found.at("parts").at(0).at("openings")) {
    if (end.at("normal").at(0).get<double>() > 0) continue;
    EXPECT_NEAR(end.at("blocked_by").at(0).at("share").get<double>(), 0.25, 0.0025);
    EXPECT_NEAR(end.at("blocked_by").at(0).at("gap").get<double>(), 0.030, 1e-5);
    EXPECT_NEAR(end.at("free_area").get<double>(), 0.75 * 0.0096, 0.0025 * 0.0096);
  }
}

TEST(Vents, APortNamesItsCutout) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("panel", panel()), shifted(0, 0, 0), "panel");
  step.place(root, step.product("port:fender_vent.from", box(100, 100, 0, 300, 200, 0.5)), shifted(0, 0, 0),
             "port:fender_vent.from");
  const json document = measured(step.text());
  EXPECT_EQ(document.at("parts").at(0).at("cutouts").at(0).at("name"), "fender_vent.from");
  EXPECT_TRUE(document.at("warnings").empty()) << document.at("warnings");
}

TEST(Cores, AreNamedByWordsOrByTheCaller) {
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("block", box(0, 0, 0, 40, 300, 200)), shifted(0, 0, 0), "block");
  step.place(root, step.product("air", box(-300, 0, 0, -100, 50, 50)), shifted(0, 0, 0), "air");
  const std::string text = step.text();
  EXPECT_EQ(measured(text).at("parts").at(0).at("kind"), "body");
  MeasureRequest request;
  request.cores = {"block"};
  const json part = measured(text, request).at("parts").at(0);
  EXPECT_EQ(part.at("kind"), "core");
  EXPECT_CLOSE(part.at("core").at("depth"), 0.04);
  EXPECT_CLOSE(part.at("core").at("face_area"), 0.06);
}

TEST(Marks, LayersAndColorsOfEndsStandBesideTheDocument) {
  StepText step;
  const auto duct = step.product("duct", box(0, 0, 0, 300, 120, 80));
  step.layer_face(duct, 1, "inlets");
  step.color_face(duct, 1, 1.0, 0.0, 0.0);
  std::istringstream stream(step.text());
  const auto result = measure_step_whole(stream, {});
  ASSERT_TRUE(result.ok()) << result.issues().front().text;
  const json marks = json::parse(result.value().marks);
  ASSERT_EQ(marks.size(), 1u) << marks;
  EXPECT_EQ(marks[0].at("part"), "duct");
  EXPECT_EQ(marks[0].at("layers"), json::array({"inlets"}));
  EXPECT_EQ(marks[0].at("color"), "#ff0000");
  EXPECT_EQ(result.value().document.find("#ff0000"), std::string::npos);
}

}  // namespace
}  // namespace corefeed::geometry
