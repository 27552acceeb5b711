// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>

#include <chrono>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "tests/cad_bridge/geometry/duct_shapes.hpp"

namespace corefeed::geometry {
namespace {

using namespace shapes;

const TopoDS_Wire disc = circle(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), 50);

struct Truth {
  std::string name;
  Passage passage;
  double length = 0;                        ///< mm
  std::function<double(double)> area;       ///< mm2 at a distance in mm
  std::function<double(double)> perimeter;  ///< mm; may be empty
};

std::function<double(double)> constant(double value) {
  return [value](double) { return value; };
}

/// Area of the ruled loft from a rectangle to a circle at share t: with a point moving evenly along each side
/// and along its quarter circle at once, ((1 - t) r + t c) encloses (1-t)^2 A_r + t^2 A_c + t (1-t) M, where
/// M = closed integral of (r x dc + c x dr) / 2, done by hand for a side of length 2a at distance b.
double ruled_area(double width, double depth, double radius, double t) {
  const auto side = [&](double a, double b) {
    const double root = std::sqrt(2.0);
    return radius * (b * root + a * (8 / pi) * (root / 2) * (1 - pi / 4) + a * (4 / pi) * root);
  };
  const double mixed = side(width / 2, depth / 2) + side(depth / 2, width / 2);
  return (1 - t) * (1 - t) * width * depth + t * t * pi * radius * radius + t * (1 - t) * mixed;
}

std::vector<Truth> truths() {
  const double slope = std::tan(3.5 * degree);
  const Passage s_duct = swept(disc, {{0, 200, pi / 4}, {0, 200, -pi / 4}});
  const double circle_area = pi * 2500;
  return {
      {"round duct", round_duct(100, 500), 500, constant(circle_area), constant(100 * pi)},
      {"rectangular duct", rectangular_duct(200, 50, 800), 800, constant(10000), constant(500)},
      {"round bend", revolved(disc, 150, pi / 2), 75 * pi, constant(circle_area), constant(100 * pi)},
      {"round bend with straight ends", swept(disc, {{300, 0, 0}, {0, 150, pi / 2}, {200, 0, 0}}),
       500 + 75 * pi, constant(circle_area), constant(100 * pi)},
      {"rectangular bend", swept(rectangle(80, 120, 0), {{300, 0, 0}, {0, 120, pi / 2}, {200, 0, 0}}),
       500 + 60 * pi, constant(9600), constant(400)},
      {"cone", cone(80, 80 + 1000 * slope, 500), 500,
       [=](double s) { return pi * (40 + s * slope) * (40 + s * slope); },
       [=](double s) { return 2 * pi * (40 + s * slope); }},
      {"S", s_duct, 100 * pi, constant(circle_area), constant(100 * pi)},
      {"skewed S", skewed(s_duct), 100 * pi, constant(circle_area), constant(100 * pi)},
      {"U", swept(circle(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), 40), {{200, 0, 0}, {0, 60, pi}, {200, 0, 0}}),
       400 + 60 * pi, constant(1600 * pi), constant(80 * pi)},
      {"rectangle to circle",
       lofted({rectangle(120, 80, 0), quartered_circle(60, 200)}, true, gp_Pnt(0, 0, 200)),
       200,
       [](double s) { return ruled_area(120, 80, 60, s / 200); },
       {}},
  };
}

Path traced(const Passage& passage, const PathOptions& options = {}) {
  Result<Path> path = trace_path(passage, 0, 1, options);
  EXPECT_TRUE(path.ok()) << (path.ok() ? "" : path.issues().front().text);
  return path.ok() ? path.value() : Path{};
}

// The goals are 0.02 % of the area on such walls, 0.1 % of hydraulic diameter and length; held here ten times
// tighter, so that a loss of accuracy is seen long before it matters.
TEST(TracePath, ClosedFormShapes) {
  for (const Truth& truth : truths()) {
    SCOPED_TRACE(truth.name);
    const Path path = traced(truth.passage);
    ASSERT_EQ(path.stations.size(), 50U);
    EXPECT_NEAR(path.length * 1e3 / truth.length, 1, 2e-5);
    for (const Station& station : path.stations) {
      const double s = station.distance * 1e3;
      EXPECT_NEAR(station.area * 1e6 / truth.area(s), 1, 2e-5) << "at " << s;
      if (!truth.perimeter) continue;
      EXPECT_NEAR(station.hydraulic_diameter * 1e3 * truth.perimeter(s) / (4 * truth.area(s)), 1, 1e-4);
    }
    EXPECT_EQ(path.stations.front().distance, 0);
    EXPECT_EQ(path.stations.back().distance, path.length);
  }
}

TEST(TracePath, TangentLooksFromTheFirstToTheSecondOpening) {
  const Passage passage = swept(disc, {{300, 0, 0}, {0, 150, pi / 2}, {200, 0, 0}});
  const Path path = traced(passage);
  EXPECT_NEAR(path.stations.front().tangent[2], 1, 1e-9);
  EXPECT_NEAR(path.stations.back().tangent[0], 1, 1e-9);
  const Result<Path> back = trace_path(passage, 1, 0, {});
  ASSERT_TRUE(back.ok());
  EXPECT_NEAR(back.value().length, path.length, 1e-7);
  EXPECT_NEAR(back.value().stations.front().tangent[0], -1, 1e-9);
  EXPECT_EQ(back.value().from, "out");
}

TEST(TracePath, EndsAreTheOpeningsThemselves) {
  Passage passage = cone(80, 120, 300);
  passage.openings[0].area = 5.0e-3;  // whatever was measured from the edges must appear to the last digit
  passage.openings[0].perimeter = 0.25;
  const Path path = traced(passage);
  EXPECT_EQ(path.stations.front().area, 5.0e-3);
  EXPECT_EQ(path.stations.front().perimeter, 0.25);
  EXPECT_NEAR(path.stations.back().area * 1e6 / (3600 * pi), 1, 1e-7);
}

TEST(TracePath, StationsAtShares) {
  PathOptions options;
  options.sections = 3;
  options.shares = {0.25, 0.1};
  const Path path = traced(rectangular_duct(80, 60, 400), options);
  ASSERT_EQ(path.stations.size(), 5U);
  EXPECT_NEAR(path.stations[1].distance, 0.04, 1e-9);
  EXPECT_NEAR(path.stations[2].distance, 0.1, 1e-9);
  EXPECT_NEAR(path.stations[1].aspect, 0.75, 1e-9);
  EXPECT_FALSE(path.stations[1].round);
}

TEST(TracePath, SidesOfABendInItsPlane) {
  const Path path = traced(swept(rectangle(80, 120, 0), {{300, 0, 0}, {0, 120, pi / 2}, {200, 0, 0}}));
  for (const Station& station : path.stations) {
    const bool inside = station.distance > 0.301 && station.distance < 0.487;
    const bool outside = station.distance < 0.299 || station.distance > 0.490;
    if (inside) {
      EXPECT_NEAR(station.height_along_bend_axis, 0.120, 1e-6);
      EXPECT_NEAR(station.width_in_bend_plane, 0.080, 1e-5);
    }
    if (outside) {
      EXPECT_EQ(station.width_in_bend_plane, 0);
    }
  }
}

TEST(TracePath, Narrowest) {
  const TopoDS_Shape in = BRepPrimAPI_MakeCone(50, 30, 200).Shape();
  const TopoDS_Shape out =
      BRepPrimAPI_MakeCone(gp_Ax2(gp_Pnt(0, 0, 200), gp_Dir(0, 0, 1)), 30, 45, 300).Shape();
  const Path path = traced(passage(BRepAlgoAPI_Fuse(in, out).Shape(), gp_Pnt(0, 0, 0), gp_Pnt(0, 0, 500)));
  EXPECT_NEAR(path.narrowest_distance, 0.2, 1e-4);
  EXPECT_NEAR(path.narrowest_area * 1e6 / (900 * pi), 1, 1e-4);
}

// No closed form: the area at one place against the kernel's own section, integrated with a tolerance, and
// all areas together against the volume. The goal on free-form walls is 0.05 %.
TEST(TracePath, FreeFormWalls) {
  const Passage loft = lofted({rectangle(60, 100, 0), rectangle(95, 120, 120), rectangle(80, 150, 300)},
                              false, gp_Pnt(0, 0, 300));
  PathOptions options;
  options.sections = 201;
  const Path path = traced(loft, options);
  EXPECT_NEAR(path.length, 0.3, 1e-5);
  double volume = 0;  // Simpson
  for (std::size_t i = 0; i < path.stations.size(); ++i) {
    const bool end = i == 0 || i + 1 == path.stations.size();
    volume += (end ? 1 : (i % 2 == 1 ? 4 : 2)) * path.stations[i].area * path.length / 200 / 3;
  }
  GProp_GProps whole;
  BRepGProp::VolumeProperties(loft.solid, whole, 1e-8);
  EXPECT_NEAR(volume * 1e9 / whole.Mass(), 1, 5e-5);
  const TopoDS_Face plane =
      BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, 75), gp_Dir(0, 0, 1)), -200, 200, -200, 200);
  GProp_GProps section;
  BRepGProp::SurfaceProperties(BRepAlgoAPI_Common(loft.solid, plane).Shape(), section, 1e-9);
  EXPECT_NEAR(path.stations[50].area * 1e6 / section.Mass(), 1, 5e-5);
}

TEST(TracePath, AsymmetricDiffuserIsCutAcrossItsOwnLine) {
  // One wall straight, one inclined: the line through the centers leans by half the wall's angle, and
  // sections across it are smaller than those across the straight wall by the cosine.
  const Passage wedge =
      lofted({rectangle(60, 100, 0), rectangle(100, 100, 250, 20)}, true, gp_Pnt(20, 0, 250));
  PathOptions options;
  options.shares = {0.5};
  options.sections = 2;
  const Path path = traced(wedge, options);
  const double lean = 0.5 * std::atan(40.0 / 250);
  EXPECT_NEAR(path.stations[1].tangent[0], std::sin(lean), 1e-3);
  // Both walls at angle `lean` to the line: the width there is twice its distance from their crossing times
  // tan.
  const double z = path.stations[1].center[2] * 1e3;
  const double x = path.stations[1].center[0] * 1e3 + 30;
  const double from_crossing = std::hypot(x, z + 60 * 250.0 / 40);
  EXPECT_NEAR(path.stations[1].area * 1e6 / (100 * 2 * from_crossing * std::tan(lean)), 1, 2e-4);
}

TEST(TracePath, VaneIsWettedOnBothSides) {
  const TopoDS_Shape box = BRepPrimAPI_MakeBox(gp_Pnt(-50, -50, 0), 100, 100, 500).Shape();
  const TopoDS_Shape vane = BRepPrimAPI_MakeBox(gp_Pnt(-3, -60, 200), 6, 120, 100).Shape();
  PathOptions options;
  options.shares = {0.5};
  options.sections = 2;
  const Path path =
      traced(passage(BRepAlgoAPI_Cut(box, vane).Shape(), gp_Pnt(0, 0, 0), gp_Pnt(0, 0, 500)), options);
  EXPECT_EQ(path.stations[1].loops, 2);
  EXPECT_NEAR(path.stations[1].area * 1e6, 9400, 0.01);
  EXPECT_NEAR(path.stations[1].perimeter * 1e3, 2 * 2 * (47 + 100), 0.01);
  EXPECT_NEAR(path.length, 0.5, 1e-5);
}

TEST(TracePath, SaysWhatIsWrong) {
  const TopoDS_Shape a = BRepPrimAPI_MakeCylinder(40, 200).Shape();
  const TopoDS_Shape b =
      BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(300, 0, 0), gp_Dir(0, 0, 1)), 40, 200).Shape();
  const Passage apart = passage(BRepAlgoAPI_Fuse(a, b).Shape(), gp_Pnt(0, 0, 0), gp_Pnt(300, 0, 200));
  const auto code = [](const Result<Path>& path) { return path.ok() ? "none" : path.issues().front().code; };
  EXPECT_EQ(code(trace_path(apart, 0, 1, {})), "no_path");
  const Passage duct = round_duct(100, 300);
  EXPECT_EQ(code(trace_path(duct, 0, 0, {})), "no_path");
  EXPECT_EQ(code(trace_path(duct, 0, 2, {})), "no_path");
  EXPECT_EQ(code(trace_path({}, 0, 1, {})), "no_path");
  Passage same = duct;
  same.openings[1].face = same.openings[0].face;
  EXPECT_NE(code(trace_path(same, 0, 1, {})), "none");
  Passage hollow = duct;
  hollow.solid = TopoDS_Shape();
  EXPECT_EQ(code(trace_path(hollow, 0, 1, {})), "not_closed");
  EXPECT_EQ(trace_path(hollow, 0, 1, {}).issues().front().status, Status::geometry);
}

TEST(TracePath, FiftyStationsTakeWellUnderASecond) {
  const Passage bend = swept(disc, {{300, 0, 0}, {0, 150, pi / 2}, {200, 0, 0}});
  const auto start = std::chrono::steady_clock::now();
  traced(bend);
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
  EXPECT_LT(taken.count(),
            5);  // about 0.1 s optimized and alone; wide, for a busy machine without optimization
}

}  // namespace
}  // namespace corefeed::geometry
