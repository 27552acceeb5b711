// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <cmath>
#include <map>

#include "tests/cad_bridge/geometry/measured.hpp"
#include "tests/cad_bridge/geometry/step_text.hpp"

namespace corefeed::geometry {
namespace {

using nlohmann::json;
using testing::measured;
using testing::relative;
using testing::shifted;
using testing::StepText;

TopoDS_Shape box(double x0, double y0, double z0, double x1, double y1, double z1) {
  return BRepPrimAPI_MakeBox(gp_Pnt(x0, y0, z0), gp_Pnt(x1, y1, z1)).Shape();
}

/// A trunk of 100 mm x 60 mm and 500 mm length along x, a branch of 40 mm x 40 mm that leaves it sideways for
/// 150 mm at x = 150 mm and, if wanted, another at 300 mm; `trunk_end` names the end at x = 0, `other_end`
/// all others.
json manifold(bool two, const std::string& trunk_end, const std::string& other_end) {
  TopoDS_Shape air = BRepAlgoAPI_Fuse(box(0, -50, -30, 500, 50, 30), box(150, 40, -20, 190, 200, 20)).Shape();
  if (two) air = BRepAlgoAPI_Fuse(air, box(300, 40, -20, 340, 200, 20)).Shape();
  StepText step;
  const auto root = step.assembly("car");
  step.place(root, step.product("manifold", air), shifted(0, 0, 0), "manifold");
  const auto port = [&](const std::string& name, const TopoDS_Shape& plate) {
    step.place(root, step.product("port:" + name, plate), shifted(0, 0, 0), "port:" + name);
  };
  port("feed." + trunk_end, box(-1, -50, -30, 0, 50, 30));
  port("straight." + other_end, box(500, -50, -30, 501, 50, 30));
  port("first." + other_end, box(150, 200, -20, 190, 201, 20));
  if (two) port("second." + other_end, box(300, 200, -20, 340, 201, 20));
  return measured(step.text()).at("parts").at(0);
}

std::map<std::string, json> paths_by(const json& part, const char* end) {
  std::map<std::string, json> found;
  for (const json& path : part.at("paths")) found[path.at(end)] = path;
  return found;
}

int junctions(const json& path) {
  int count = 0;
  for (const json& piece : path.at("pieces")) count += piece.at("kind") == "junction" ? 1 : 0;
  return count;
}

/// The common passage ends where the branch's mouth begins; from there straight to the branch's first
/// section.
TEST(Branches, ASideBranchAndTheWayOn) {
  const json part = manifold(false, "from", "to");
  ASSERT_EQ(part.at("openings").size(), 3u);
  ASSERT_EQ(part.at("paths").size(), 2u);
  const auto to = paths_by(part, "to");
  EXPECT_NEAR(to.at("straight.to").at("length").get<double>(), 0.5, 0.0005);
  const double side = 0.150 + std::hypot(0.020, 0.050) + 0.150;
  EXPECT_NEAR(to.at("first.to").at("length").get<double>(), side, 0.005 * side);
  for (const auto& [name, path] : to) {
    EXPECT_EQ(path.at("from"), "feed.from");
    EXPECT_EQ(junctions(path), 1) << name;
    EXPECT_EQ(path.at("stations").back().at("distance"), path.at("length"));
  }
  const json& last = to.at("first.to").at("stations").back();
  EXPECT_CLOSE(last.at("area"), 0.0016);
  EXPECT_NEAR(last.at("tangent").at(1).get<double>(), 1.0, 1e-3);
}

TEST(Branches, AManifoldDividesTwice) {
  const json part = manifold(true, "from", "to");
  const auto to = paths_by(part, "to");
  ASSERT_EQ(to.size(), 3u);
  EXPECT_EQ(junctions(to.at("first.to")), 1);
  EXPECT_EQ(junctions(to.at("second.to")), 2);
  EXPECT_EQ(junctions(to.at("straight.to")), 2);
  EXPECT_NEAR(to.at("straight.to").at("length").get<double>(), 0.5, 0.0005);
  const double second = 0.300 + std::hypot(0.020, 0.050) + 0.150;
  EXPECT_NEAR(to.at("second.to").at("length").get<double>(), second, 0.005 * second);
}

TEST(Branches, FlowsThatJoinRunTowardsTheTrunk) {
  const auto from = paths_by(manifold(false, "to", "from"), "from");
  ASSERT_EQ(from.size(), 2u);
  const json& path = from.at("first.from");
  EXPECT_EQ(path.at("to"), "feed.to");
  EXPECT_CLOSE(path.at("stations").front().at("area"), 0.0016);
  EXPECT_CLOSE(path.at("stations").back().at("area"), 0.0060);
  EXPECT_NEAR(path.at("stations").back().at("tangent").at(0).get<double>(), -1.0, 1e-3);
}

}  // namespace
}  // namespace corefeed::geometry
