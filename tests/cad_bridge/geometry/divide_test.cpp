// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/divide.hpp"

#include <gtest/gtest.h>
#include <BRepAlgoAPI_Fuse.hxx>
#include <ShapeUpgrade_UnifySameDomain.hxx>

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "tests/cad_bridge/geometry/duct_shapes.hpp"

namespace corefeed::geometry {
namespace {

using namespace shapes;

/// Samples of a plane path in m: heading (rad) and area as functions of the distance.
std::vector<PathSample> sampled(double length, const std::function<double(double)>& heading,
                                const std::function<double(double)>& area, bool round = true) {
  std::vector<PathSample> samples;
  constexpr int count = 81;
  for (int i = 0; i < count; ++i) {
    PathSample sample;
    sample.distance = length * i / (count - 1);
    sample.area = area(sample.distance);
    sample.hydraulic_diameter = std::sqrt(4 * sample.area / pi);
    const double turned = heading(sample.distance);
    sample.tangent = Eigen::Vector3d(std::sin(turned), 0, std::cos(turned));
    sample.long_axis = Eigen::Vector3d::UnitY();
    sample.long_side = sample.short_side = std::sqrt(sample.area);
    sample.round = round;
    samples.push_back(sample);
  }
  return samples;
}

double none(double) { return 0; }
double hundred(double) { return pi / 4 * 0.01; }

/// Heading of straight, arc from `from` to `to` by `angle`, straight.
std::function<double(double)> one_bend(double from, double to, double angle) {
  return [=](double s) { return angle * std::clamp((s - from) / (to - from), 0.0, 1.0); };
}

TEST(FindBends, EndsLieBetweenSamples) {
  const std::vector<PathSample> samples = sampled(1.0, one_bend(0.3333, 0.6789, 1.2), hundred);
  const std::vector<Bend> bends = find_bends(samples);
  ASSERT_EQ(bends.size(), 1U);
  EXPECT_NEAR(bends[0].from, 0.3333, 1e-6);
  EXPECT_NEAR(bends[0].to, 0.6789, 1e-6);
  EXPECT_NEAR(bends[0].angle, 1.2, 1e-9);
  EXPECT_NEAR(bends[0].radius, 0.3456 / 1.2, 1e-6);
  EXPECT_NEAR(std::abs(bends[0].axis.y()), 1, 1e-9);
  EXPECT_FALSE(bends[0].sharp);
}

TEST(FindBends, UnderFiveDegreesIsNone) {
  EXPECT_TRUE(find_bends(sampled(1.0, one_bend(0.2, 0.8, 4.9 * degree), hundred)).empty());
  EXPECT_EQ(find_bends(sampled(1.0, one_bend(0.2, 0.8, 5.1 * degree), hundred)).size(), 1U);
}

TEST(FindBends, CompoundCurvesStayApartAndSmoothOnesTogether) {
  const auto compound = [](double s) { return s < 0.4 ? s / 0.3 : 0.4 / 0.3 + (s - 0.4) / 0.8; };
  const std::vector<Bend> two = find_bends(sampled(1.0, compound, hundred));
  ASSERT_EQ(two.size(), 2U);
  EXPECT_NEAR(two[0].radius, 0.3, 1e-6);
  EXPECT_NEAR(two[1].radius, 0.8, 1e-6);
  const auto smooth = [](double s) { return 0.5 * (1 - std::cos(pi * s)); };  // curvature is half a sine wave
  const std::vector<Bend> one = find_bends(sampled(1.0, smooth, hundred));
  ASSERT_EQ(one.size(), 1U);
  EXPECT_NEAR(one[0].angle, 1.0, 0.005);
}

TEST(FindAreaChanges, ConeBetweenStraights) {
  const auto area = [](double s) {
    const double radius = 0.05 + 0.06 * std::clamp(s - 0.3033, 0.0, 0.4);
    return pi * radius * radius;
  };
  const std::vector<AreaChange> changes = find_area_changes(sampled(1.0, none, area), area);
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_NEAR(changes[0].from, 0.3033, 1e-6);
  EXPECT_NEAR(changes[0].to, 0.7033, 1e-6);
  EXPECT_NEAR(changes[0].outlet_area / area(1), 1, 1e-9);
  EXPECT_FALSE(changes[0].step);
}

TEST(FindAreaChanges, StepIsFoundBetweenSamples) {
  const auto area = [](double s) { return s < 0.4321 ? 0.006 : 0.009; };
  const std::vector<AreaChange> changes = find_area_changes(sampled(1.0, none, area), area);
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_TRUE(changes[0].step);
  EXPECT_NEAR(changes[0].from, 0.4321, 2e-5);  // an eightieth, halved ten times
  EXPECT_EQ(changes[0].inlet_area, 0.006);
  EXPECT_EQ(changes[0].outlet_area, 0.009);
}

TEST(FindAreaChanges, HalfAPercentIsConstant) {
  const auto area = [](double s) { return 0.008 * (1 + 0.004 * std::sin(6 * s)); };
  EXPECT_TRUE(find_area_changes(sampled(1.0, none, area), area).empty());
}

TEST(FindAreaChanges, RoundedThroatAndRoundedEnd) {
  // A smooth pinch to 40 % over the first half: 16 t^2 (1 - t)^2 has neither a corner nor a slope at its
  // ends.
  const auto area = [](double s) {
    const double t = std::min(2 * s, 1.0);
    return 0.01 * (1 - 0.6 * 16 * t * t * (1 - t) * (1 - t));
  };
  const std::vector<AreaChange> changes = find_area_changes(sampled(1.0, none, area), area);
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_NEAR(changes[0].to, 0.25, 1e-4);
  EXPECT_NEAR(changes[0].outlet_area, 0.004, 1e-7);
  EXPECT_EQ(changes[1].from, changes[0].to);
  EXPECT_EQ(changes[1].inlet_area, changes[0].outlet_area);
  // 0.6 * 16 * (1 - t)^2 = 0.001 where the area is constant but for a thousandth: t = 0.9898
  EXPECT_NEAR(changes[1].to, 0.4949, 1e-4);
  EXPECT_NEAR(changes[1].outlet_area / area(changes[1].to), 1, 1e-12);
}

TEST(Divide, CoversThePathWithoutGaps) {
  const auto area = [](double s) { return 0.007 * (1 + std::clamp(s - 0.6, 0.0, 0.25)); };
  const Division division = divide(sampled(1.0, one_bend(0.2, 0.5, 1.0), area, false), area);
  ASSERT_EQ(division.pieces.size(), 5U);
  const char* kinds[] = {"duct", "bend", "duct", "diffuser", "duct"};
  double reached = 0;
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_EQ(division.pieces[i].kind, kinds[i]);
    EXPECT_EQ(division.pieces[i].from, reached);
    EXPECT_FALSE(division.pieces[i].reason.empty());
    reached = division.pieces[i].to;
  }
  EXPECT_EQ(reached, 1.0);
}

std::vector<Piece> pieces_of(const Passage& passage) {
  const Result<Path> path = trace_path(passage, 0, 1, {});
  EXPECT_TRUE(path.ok()) << (path.ok() ? "" : path.issues().front().text);
  return path.ok() ? path.value().pieces : std::vector<Piece>{};
}

std::string kinds_of(const std::vector<Piece>& pieces) {
  std::string result;
  for (const Piece& piece : pieces) result += (result.empty() ? "" : " ") + piece.kind;
  return result;
}

const TopoDS_Wire disc = circle(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), 50);

TEST(Pieces, StraightBendStraight) {
  const auto pieces = pieces_of(swept(rectangle(80, 120, 0), {{300, 0, 0}, {0, 120, pi / 2}, {200, 0, 0}}));
  ASSERT_EQ(kinds_of(pieces), "duct bend duct");
  EXPECT_NEAR(pieces[0].numbers.at("length"), 0.3, 1e-4);
  EXPECT_NEAR(pieces[0].numbers.at("hydraulic_diameter"), 0.096, 1e-6);
  EXPECT_NEAR(pieces[1].numbers.at("angle"), pi / 2, 1e-4);
  EXPECT_NEAR(pieces[1].numbers.at("radius"), 0.12, 1e-4);
  EXPECT_NEAR(pieces[1].numbers.at("aspect"), 1.5, 1e-4);
  EXPECT_EQ(pieces[1].choices.at("style"), "smooth");
}

TEST(Pieces, SOfTwoArcs) {
  const auto pieces = pieces_of(skewed(swept(disc, {{0, 200, pi / 4}, {0, 160, -pi / 3}})));
  ASSERT_EQ(kinds_of(pieces), "bend bend");
  EXPECT_NEAR(pieces[0].numbers.at("angle"), pi / 4, 1e-3);
  EXPECT_NEAR(pieces[1].numbers.at("angle"), pi / 3, 1e-3);
  EXPECT_NEAR(pieces[0].numbers.at("radius"), 0.2, 2e-4);
  EXPECT_NEAR(pieces[1].numbers.at("radius"), 0.16, 2e-4);
}

TEST(Pieces, ConeWithItsTotalAngle) {
  const auto pieces = pieces_of(cone(80, 80 + 1000 * std::tan(3.5 * degree), 500));
  ASSERT_EQ(kinds_of(pieces), "diffuser");
  EXPECT_NEAR(pieces[0].numbers.at("angle"), 7 * degree, 1e-4 * degree);
  EXPECT_EQ(pieces[0].choices.at("shape"), "conical");
}

TEST(Pieces, ContractionHasAreasInPathDirection) {
  const auto pieces = pieces_of(cone(100, 60, 250));
  ASSERT_EQ(kinds_of(pieces), "contraction");
  EXPECT_NEAR(pieces[0].numbers.at("inlet_area") * 1e6 / (2500 * pi), 1, 1e-6);
  EXPECT_NEAR(pieces[0].numbers.at("outlet_area") * 1e6 / (900 * pi), 1, 1e-6);
  EXPECT_NEAR(pieces[0].numbers.at("angle"), 2 * std::atan(20.0 / 250), 1e-5);
}

TEST(Pieces, PlanarAndPyramidal) {
  const auto planar =
      pieces_of(lofted({rectangle(60, 100, 0), rectangle(120, 100, 300)}, true, gp_Pnt(0, 0, 300)));
  ASSERT_EQ(kinds_of(planar), "diffuser");
  EXPECT_EQ(planar[0].choices.at("shape"), "planar");
  const auto both =
      pieces_of(lofted({rectangle(60, 100, 0), rectangle(90, 150, 250)}, true, gp_Pnt(0, 0, 250)));
  ASSERT_EQ(kinds_of(both), "diffuser");
  EXPECT_EQ(both[0].choices.at("shape"), "pyramidal");
}

TEST(Pieces, BendThenDiffuser) {
  const auto frame = [](double width, double x) {
    BRepBuilderAPI_MakePolygon polygon;
    polygon.Add(gp_Pnt(x, -60, 120 - width / 2));
    polygon.Add(gp_Pnt(x, 60, 120 - width / 2));
    polygon.Add(gp_Pnt(x, 60, 120 + width / 2));
    polygon.Add(gp_Pnt(x, -60, 120 + width / 2));
    polygon.Close();
    return polygon.Wire();
  };
  const TopoDS_Shape bend = revolved(rectangle(80, 120, 0), 120, pi / 2).solid;
  const TopoDS_Shape diffuser = lofted({frame(80, 120), frame(140, 420)}, true, gp_Pnt(420, 0, 120)).solid;
  const auto pieces =
      pieces_of(passage(BRepAlgoAPI_Fuse(bend, diffuser).Shape(), gp_Pnt(0, 0, 0), gp_Pnt(420, 0, 120)));
  ASSERT_EQ(kinds_of(pieces), "bend diffuser");
  EXPECT_NEAR(pieces[0].numbers.at("angle"), pi / 2, 0.5 * degree);
  EXPECT_NEAR(pieces[0].numbers.at("radius"), 0.12, 0.0012);
  EXPECT_EQ(pieces[0].to, pieces[1].from);
  EXPECT_NEAR(pieces[1].numbers.at("inlet_area"), 0.0096, 1e-6);
  EXPECT_NEAR(pieces[1].numbers.at("outlet_area"), 0.0168, 1e-6);
  // (sqrt(A2) - sqrt(A1)) / (L sqrt(pi)) for 96 and 168 cm2 over 300 mm
  EXPECT_NEAR(pieces[1].numbers.at("angle"), 6.8095 * degree, 0.01 * degree);
}

TEST(Pieces, StepAlongOneAxisAndAside) {
  for (const double aside : {0.0, 8.0}) {
    SCOPED_TRACE(aside);
    const TopoDS_Shape in = BRepPrimAPI_MakeCylinder(40, 233.3).Shape();
    const TopoDS_Shape out =
        BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(aside, 0, 233.3), gp_Dir(0, 0, 1)), 60, 300).Shape();
    const auto pieces =
        pieces_of(passage(BRepAlgoAPI_Fuse(in, out).Shape(), gp_Pnt(0, 0, 0), gp_Pnt(aside, 0, 533.3)));
    ASSERT_EQ(kinds_of(pieces), "duct step duct");
    EXPECT_NEAR(pieces[1].numbers.at("inlet_area") * 1e6 / (1600 * pi), 1, 1e-4);
    EXPECT_NEAR(pieces[1].numbers.at("outlet_area") * 1e6 / (3600 * pi), 1, 1e-4);
    EXPECT_NEAR(pieces[1].from, 0.2333, aside == 0 ? 2e-5 : 0.02);
  }
}

TEST(Pieces, MitreIsOneSharpBendWithTheLegsSection) {
  const TopoDS_Shape in = BRepPrimAPI_MakeBox(gp_Pnt(-50, -50, 0), 100, 100, 350).Shape();
  const TopoDS_Shape out = BRepPrimAPI_MakeBox(gp_Pnt(-50, -50, 250), 350, 100, 100).Shape();
  ShapeUpgrade_UnifySameDomain unified(BRepAlgoAPI_Fuse(in, out).Shape());
  unified.Build();
  const auto pieces = pieces_of(passage(unified.Shape(), gp_Pnt(0, 0, 0), gp_Pnt(300, 0, 300)));
  ASSERT_EQ(kinds_of(pieces), "duct bend duct");
  EXPECT_EQ(pieces[1].choices.at("style"), "mitre");
  EXPECT_NEAR(pieces[1].numbers.at("angle"), pi / 2, 0.5 * degree);
  EXPECT_NEAR(pieces[1].numbers.at("area"), 0.01, 1e-6);
  EXPECT_NEAR(pieces[1].numbers.at("aspect"), 1, 1e-3);
}

}  // namespace
}  // namespace corefeed::geometry
