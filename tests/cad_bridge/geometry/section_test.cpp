// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/section.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <utility>

#include "tests/cad_bridge/geometry/duct_shapes.hpp"

namespace corefeed::geometry {
namespace {

using namespace shapes;

WallMesh mesh_of(const Passage& passage, double longest) {
  Result<WallMesh> built = build_wall_mesh(passage);
  EXPECT_TRUE(built.ok());
  if (!built) return {};
  WallMesh mesh = std::move(built).value();
  split_long_edges(mesh, longest);
  return mesh;
}

Section section_of(const WallMesh& mesh, const CutPlane& plane, Accuracy accuracy) {
  const SectionTree tree(mesh);
  const std::vector<double> levels(mesh.points.size(), 0.0);
  std::vector<Outline> outlines;
  for (CutLoop& loop : cut(mesh, tree, plane, levels, accuracy)) outlines.push_back(std::move(loop.outline));
  return summarize(plane, std::move(outlines));
}

/// Directed edges of the skin that lack their opposite.
int open_edges(const WallMesh& mesh) {
  std::map<std::pair<int, int>, int> count;
  for (const WallTriangle& triangle : mesh.triangles) {
    for (std::size_t i = 0; i < 3; ++i) ++count[{triangle.corners[i], triangle.corners[(i + 1) % 3]}];
  }
  int open = 0;
  for (const auto& [edge, times] : count) {
    const auto opposite = count.find({edge.second, edge.first});
    if (opposite == count.end() || opposite->second != times) ++open;
  }
  return open;
}

TEST(WallMesh, IsClosedAndOrientedBeforeAndAfterSplitting) {
  for (const Passage& passage : {round_duct(100, 500), rectangular_duct(200, 50, 800),
                                 revolved(circle({0, 0, 0}, {0, 0, 1}, 50), 150, pi / 2)}) {
    EXPECT_EQ(open_edges(mesh_of(passage, 1e6)), 0);
    const WallMesh fine = mesh_of(passage, 40);
    EXPECT_EQ(open_edges(fine), 0);
    for (const WallTriangle& triangle : fine.triangles) {
      const Vec3 edge = fine.points[static_cast<std::size_t>(triangle.corners[1])] -
                        fine.points[static_cast<std::size_t>(triangle.corners[0])];
      ASSERT_LE(edge.norm(), 40.001);
    }
  }
}

TEST(WallMesh, RefusesAnEndFaceOfAnotherSolid) {
  Passage passage = round_duct(100, 300);
  passage.openings[1].face = face_near(round_duct(50, 100).solid, gp_Pnt(0, 0, 100));
  const Result<WallMesh> built = build_wall_mesh(passage);
  ASSERT_FALSE(built.ok());
  EXPECT_EQ(built.issues().front().code, "not_closed");
  EXPECT_EQ(built.issues().front().status, Status::geometry);
}

TEST(Section, OfACylinderIsTheCircleThoughTheMeshIsCoarse) {
  const WallMesh mesh = mesh_of(round_duct(100, 500), 50);
  const CutPlane plane{Vec3(3, -2, 123.4), Vec3(0, 0, 1)};
  const Section exact = section_of(mesh, plane, Accuracy::exact);
  EXPECT_NEAR(exact.area / (pi * 2500), 1, 1e-7);  // the arcs' rule; the polygon alone is off by 2e-3
  EXPECT_NEAR(exact.perimeter / (pi * 100), 1, 1e-6);
  EXPECT_LT(exact.center.head<2>().norm(), 1e-5);
  EXPECT_TRUE(exact.round);
  EXPECT_NEAR(extent(exact, Vec3(0.6, 0.8, 0)), 100, 0.01);
  const Section rough = section_of(mesh, plane, Accuracy::mesh);
  EXPECT_LT(rough.area, 0.9995 * exact.area);
}

TEST(Section, ObliqueThroughACylinderIsTheEllipse) {
  const WallMesh mesh = mesh_of(round_duct(100, 500), 50);
  const double tilt = 35 * degree;
  const Section section =
      section_of(mesh, {Vec3(0, 0, 250), Vec3(std::sin(tilt), 0, std::cos(tilt))}, Accuracy::exact);
  EXPECT_NEAR(section.area * std::cos(tilt) / (pi * 2500), 1, 1e-7);
  EXPECT_NEAR(section.short_side / section.long_side, std::cos(tilt), 1e-4);
}

TEST(Section, OfATorusAcrossAndAlong) {
  const WallMesh mesh = mesh_of(revolved(circle({0, 0, 0}, {0, 0, 1}, 50), 150, pi / 2), 50);
  const double turn = 31 * degree;
  const Vec3 center(150 - 150 * std::cos(turn), 0, 150 * std::sin(turn));
  const Section section =
      section_of(mesh, {center, Vec3(std::sin(turn), 0, std::cos(turn))}, Accuracy::exact);
  EXPECT_NEAR(section.area / (pi * 2500), 1, 1e-7);
  EXPECT_LT((section.center - center).norm(), 1e-4);
}

TEST(Section, ThroughVerticesOfTheMeshStillCloses) {
  const WallMesh mesh = mesh_of(rectangular_duct(200, 50, 800), 50);
  for (const Vec3& vertex : mesh.points) {
    if (vertex.z() < 1 || vertex.z() > 799) continue;
    const Section section = section_of(mesh, {vertex, Vec3(0, 0, 1)}, Accuracy::exact);
    ASSERT_NEAR(section.area, 10000, 1e-6);
    ASSERT_EQ(section.outlines.size(), 1U);
  }
}

TEST(Section, RectangleHasItsSidesAndIsNotRound) {
  const WallMesh mesh = mesh_of(rectangular_duct(200, 50, 800), 50);
  const Section section = section_of(mesh, {Vec3(0, 0, 333), Vec3(0, 0, 1)}, Accuracy::exact);
  EXPECT_NEAR(section.long_side, 200, 1e-9);
  EXPECT_NEAR(section.short_side, 50, 1e-9);
  EXPECT_NEAR(std::abs(section.long_axis.x()), 1, 1e-9);
  EXPECT_FALSE(section.round);
  EXPECT_NEAR(extent(section, Vec3(0, 1, 0)), 50, 1e-9);
}

TEST(Section, MissesTheSolid) {
  const WallMesh mesh = mesh_of(round_duct(100, 500), 50);
  EXPECT_EQ(section_of(mesh, {Vec3(0, 0, 600), Vec3(0, 0, 1)}, Accuracy::exact).area, 0);
}

TEST(Section, LooksOnlyAtTrianglesNearThePlane) {
  const WallMesh mesh = mesh_of(rectangular_duct(100, 100, 3000), 40);
  const SectionTree tree(mesh);
  const std::size_t near = tree.near({Vec3(0, 0, 1234.5), Vec3(0, 0, 1)}).size();
  EXPECT_GT(near, 0U);
  EXPECT_LT(near * 20, mesh.triangles.size());
}

TEST(Rim, OfAnEndIsExact) {
  const WallMesh mesh = mesh_of(cone(80, 120, 300), 1e6);
  const CutPlane plane{Vec3(60, 0, 300), Vec3(0, 0, 1)};
  const Section section = summarize(plane, rim(mesh, 1, plane));
  EXPECT_NEAR(section.area / (pi * 3600), 1, 1e-7);
  EXPECT_NEAR(section.perimeter / (pi * 120), 1, 1e-6);
  EXPECT_LT((section.center - Vec3(0, 0, 300)).norm(), 1e-5);
}

}  // namespace
}  // namespace corefeed::geometry
