// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/openings.hpp"

#include <gtest/gtest.h>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <BRep_Builder.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <cmath>
#include <gp_Ax1.hxx>
#include <gp_Elips.hxx>
#include <limits>
#include <numbers>
#include <random>
#include <utility>

#include "cad_bridge/geometry/ends.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/solids.hpp"

namespace corefeed::geometry {
namespace {

using std::numbers::pi;
// Areas and lengths are exact integrals; what remains is rounding.
constexpr double relative = 1e-9;

#define EXPECT_CLOSE(found, expected) EXPECT_NEAR(found, expected, relative* std::abs(expected))

std::vector<std::string> no_names(const TopoDS_Shape& solid) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  return std::vector<std::string>(static_cast<std::size_t>(faces.Extent()));
}

std::vector<Opening> openings_of(const TopoDS_Shape& solid, const std::vector<FaceName>& ports = {}) {
  auto found = find_openings(solid, no_names(solid), ports, "duct");
  EXPECT_TRUE(found.ok()) << found.issues().front().text;
  return found.ok() ? found.value().openings : std::vector<Opening>();
}

/// A prism of height `height` over a polygon in the plane z = 0, given as x, y pairs.
TopoDS_Shape prism(std::initializer_list<std::pair<double, double>> corners, double height) {
  BRepBuilderAPI_MakePolygon polygon;
  for (const auto& [x, y] : corners) polygon.Add(gp_Pnt(x, y, 0));
  polygon.Close();
  return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(polygon.Wire()).Face(), gp_Vec(0, 0, height)).Shape();
}

/// Index (from 1) of the face whose center is nearest to a point in mm.
int face_at(const TopoDS_Shape& solid, double x, double y, double z) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  int best = 0;
  double least = 1e300;
  for (int i = 1; i <= faces.Extent(); ++i) {
    const Opening face = measure_opening(TopoDS::Face(faces(i)), "");
    const double distance =
        std::hypot(face.center[0] * 1000 - x, face.center[1] * 1000 - y, face.center[2] * 1000 - z);
    if (distance < least) {
      least = distance;
      best = i;
    }
  }
  return best;
}

TEST(Openings, BoxDuctHasItsTwoSmallestFaces) {
  const auto openings = openings_of(BRepPrimAPI_MakeBox(300, 120, 80).Shape());
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_EQ(openings[0].name, "opening 1");
  EXPECT_EQ(openings[1].name, "opening 2");
  for (const Opening& opening : openings) {
    EXPECT_CLOSE(opening.area, 0.0096);
    EXPECT_CLOSE(opening.perimeter, 0.4);
    EXPECT_CLOSE(opening.hydraulic_diameter, 4 * 0.0096 / 0.4);
    EXPECT_CLOSE(opening.center[1], 0.06);
    EXPECT_CLOSE(opening.center[2], 0.04);
  }
  EXPECT_NEAR(openings[0].normal[0], -1, 1e-15);
  EXPECT_NEAR(openings[1].normal[0], 1, 1e-15);
}

TEST(Openings, RoundDuctIsExact) {
  const auto openings = openings_of(BRepPrimAPI_MakeCylinder(40, 500).Shape());
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_CLOSE(openings[0].area, pi * 0.04 * 0.04);
  EXPECT_CLOSE(openings[0].perimeter, 2 * pi * 0.04);
  EXPECT_CLOSE(openings[0].hydraulic_diameter, 0.08);
}

// The perimeter of an ellipse is 4 a E(e); fixed-order integration would be off by 3e-3 here.
TEST(Openings, EllipticDuctIsExact) {
  const double a = 80;
  const double b = 30;
  const gp_Ax2 axes(gp_Pnt(900, 400, 100), gp_Dir(1, 2, 3));
  const auto rim = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Elips(axes, a, b)).Edge()).Wire();
  const auto solid =
      BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(rim).Face(), gp_Vec(100, 200, 300)).Shape();
  const auto openings = openings_of(solid);
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_CLOSE(openings[0].area, pi * a * b * 1e-6);
  EXPECT_CLOSE(openings[0].perimeter, 4 * a * std::comp_ellint_2(std::sqrt(1 - b * b / (a * a))) * 1e-3);
}

// A cone's rim is sharp and convex at both ends, though one dihedral angle is under 90 degrees.
TEST(Openings, ConicalDiffuser) {
  const auto openings = openings_of(BRepPrimAPI_MakeCone(30, 60, 200).Shape());
  ASSERT_EQ(openings.size(), 2u);
  const double areas = openings[0].area + openings[1].area;
  EXPECT_CLOSE(areas, pi * (0.03 * 0.03 + 0.06 * 0.06));
}

// Side walls of a flat diffuser lie between its ends in size; the ends do not touch and are less in total.
TEST(Openings, AllPlanarDiffuser) {
  const auto openings = openings_of(prism({{0, -20}, {200, -45}, {200, 45}, {0, 20}}, 60));
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_CLOSE(openings[0].area + openings[1].area, (40 + 90) * 60 * 1e-6);
}

TEST(Openings, MiteredCorner) {
  const auto solid = prism({{0, 0}, {300, 0}, {300, 300}, {200, 300}, {200, 100}, {0, 100}}, 80);
  const auto openings = openings_of(solid);
  ASSERT_EQ(openings.size(), 2u);
  for (const Opening& opening : openings) EXPECT_CLOSE(opening.area, 0.008);
}

TEST(Openings, ThreeEndsOfATee) {
  const auto solid =
      prism({{0, 0}, {500, 0}, {500, 100}, {300, 100}, {300, 400}, {200, 400}, {200, 100}, {0, 100}}, 60);
  EXPECT_EQ(openings_of(solid).size(), 3u);
}

// The rim's angle is that between the faces' outward normals.
TEST(Openings, RimMustTurnByMoreThanThirtyDegrees) {
  const auto capped = [](double degrees) {
    const double rise = 20 * std::tan(degrees * pi / 180);
    BRepBuilderAPI_MakePolygon half;
    half.Add(gp_Pnt(0, 0, 0));
    half.Add(gp_Pnt(50, 0, 0));
    half.Add(gp_Pnt(50, 0, 300));
    half.Add(gp_Pnt(30, 0, 300 + rise));
    half.Add(gp_Pnt(0, 0, 300 + rise));
    half.Close();
    return BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(half.Wire()).Face(),
                                 gp_Ax1(gp_Pnt(), gp_Dir(0, 0, 1)))
        .Shape();
  };
  EXPECT_EQ(openings_of(capped(31)).size(), 2u);
  const auto blunt = find_openings(capped(29), no_names(capped(29)), {}, "duct");
  ASSERT_FALSE(blunt.ok());
  EXPECT_EQ(blunt.issues().front().code, "no_ends");
  EXPECT_EQ(blunt.issues().front().status, Status::geometry);
}

TEST(Openings, OnePlanarFaceIsNotEnough) {
  const auto solid = BRepPrimAPI_MakeCone(30, 0, 200).Shape();  // one planar face
  const auto found = find_openings(solid, no_names(solid), {}, "nose");
  ASSERT_FALSE(found.ok());
  EXPECT_EQ(found.issues().front().code, "no_ends");
  EXPECT_NE(found.issues().front().text.find("port:<element>.<end>"), std::string::npos);
}

TEST(Openings, CubeIsAmbiguousAndSaysSo) {
  const auto solid = BRepPrimAPI_MakeBox(100, 100, 100).Shape();
  const auto found = find_openings(solid, no_names(solid), {}, "cube");
  ASSERT_TRUE(found.ok());
  ASSERT_EQ(found.value().warnings.size(), 1u);
  EXPECT_EQ(found.value().warnings[0].code, "ends_ambiguous");
}

TEST(Openings, PortsBeatTheShape) {
  const auto solid = BRepPrimAPI_MakeBox(300, 120, 80).Shape();
  const auto openings = openings_of(
      solid, {{face_at(solid, 150, 60, 80), "duct.to"}, {face_at(solid, 150, 60, 0), "duct.from"}});
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_EQ(openings[0].name, "duct.from") << "entries stand first";
  EXPECT_NEAR(openings[0].normal[2], -1, 1e-15);
  EXPECT_CLOSE(openings[0].area, 0.036);
}

TEST(Openings, OneNamedEndFindsTheOther) {
  const auto solid = BRepPrimAPI_MakeBox(300, 120, 80).Shape();
  auto names = no_names(solid);
  names[static_cast<std::size_t>(face_at(solid, 300, 60, 40) - 1)] = "core side";
  const auto found = find_openings(solid, names, {}, "duct");
  ASSERT_TRUE(found.ok());
  ASSERT_EQ(found.value().openings.size(), 2u);
  EXPECT_EQ(found.value().openings[0].name, "opening 1");
  EXPECT_EQ(found.value().openings[1].name, "core side");
}

// Some exporters name every face; then the names choose nothing, but still name what was chosen.
TEST(Openings, NamesOnEveryFaceChooseNothing) {
  const auto solid = BRepPrimAPI_MakeBox(300, 120, 80).Shape();
  auto names = no_names(solid);
  for (std::size_t i = 0; i < names.size(); ++i) names[i] = "Face" + std::to_string(i + 1);
  const auto found = find_openings(solid, names, {}, "duct");
  ASSERT_TRUE(found.ok());
  ASSERT_EQ(found.value().openings.size(), 2u);
  EXPECT_CLOSE(found.value().openings[0].area, 0.0096);
  EXPECT_EQ(found.value().openings[0].name.substr(0, 4), "Face");
}

TEST(Openings, EqualNamesAreMadeUnique) {
  const auto solid = BRepPrimAPI_MakeBox(300, 120, 80).Shape();
  const auto openings =
      openings_of(solid, {{face_at(solid, 0, 60, 40), "end"}, {face_at(solid, 300, 60, 40), "end"}});
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_EQ(openings[0].name, "end");
  EXPECT_EQ(openings[1].name, "end#2");
}

// Across a square U bend its outer wall touches neither end and would be a third.
TEST(Openings, OuterWallOfAUBendIsNoEnd) {
  const auto solid =
      prism({{0, 0}, {300, 0}, {300, 300}, {0, 300}, {0, 200}, {200, 200}, {200, 100}, {0, 100}}, 80);
  const auto found = find_openings(
      solid, no_names(solid),
      {{face_at(solid, 0, 50, 40), "bend.from"}, {face_at(solid, 0, 250, 40), "bend.to"}}, "bend");
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found.value().openings.size(), 2u);
  ASSERT_EQ(found.value().warnings.size(), 1u);
  EXPECT_EQ(found.value().warnings[0].code, "end_left_out");
}

TEST(Openings, PortOnACurvedFaceIsLeftOut) {
  const auto solid = BRepPrimAPI_MakeCylinder(40, 500).Shape();
  const auto found = find_openings(solid, no_names(solid), {{1, "duct.from"}}, "duct");
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found.value().openings.size(), 2u);
  ASSERT_EQ(found.value().warnings.size(), 1u);
  EXPECT_EQ(found.value().warnings[0].code, "port_not_planar");
}

/// The ring between two cylinders, revolved.
TopoDS_Shape ring(double inner, double outer) {
  BRepBuilderAPI_MakePolygon half;
  half.Add(gp_Pnt(inner, 0, 0));
  half.Add(gp_Pnt(outer, 0, 0));
  half.Add(gp_Pnt(outer, 0, 200));
  half.Add(gp_Pnt(inner, 0, 200));
  half.Close();
  return BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(half.Wire()).Face(), gp_Ax1(gp_Pnt(), gp_Dir(0, 0, 1)))
      .Shape();
}

TEST(Openings, AnnulusRoundAHubLeavesTheHubOut) {
  const auto openings = openings_of(ring(40, 100));
  ASSERT_EQ(openings.size(), 2u);
  EXPECT_CLOSE(openings[0].area, pi * (0.1 * 0.1 - 0.04 * 0.04));
  EXPECT_CLOSE(openings[0].perimeter, 2 * pi * (0.1 + 0.04));
}

TEST(Openings, PipeWallIsNotTheAirInIt) {
  const auto solid = ring(48, 50);
  const auto found = find_openings(solid, no_names(solid), {}, "pipe");
  ASSERT_FALSE(found.ok());
  EXPECT_EQ(found.issues().front().code, "thin_wall");
}

/// Candidates with given areas that touch as `touch(i, j)` says.
template <class Touch>
std::vector<EndCandidate> graph_of(const std::vector<double>& areas, Touch touch) {
  std::vector<EndCandidate> candidates(areas.size());
  for (std::size_t i = 0; i < areas.size(); ++i) {
    candidates[i].face.area = areas[i];
    for (std::size_t j = 0; j < areas.size(); ++j) {
      if (i != j && touch(std::min(i, j), std::max(i, j))) candidates[i].neighbors.push_back(j);
    }
  }
  return candidates;
}

/// Least area of a maximal independent set of two or more, by trying all; infinite if there is none.
double least_area_by_trial(const std::vector<EndCandidate>& candidates) {
  const std::size_t n = candidates.size();
  double least = std::numeric_limits<double>::infinity();
  for (unsigned set = 0; set < (1u << n); ++set) {
    double area = 0;
    int count = 0;
    bool fits = true;
    for (std::size_t i = 0; i < n; ++i) {
      const bool in = (set >> i) & 1u;
      bool touched = false;
      for (const std::size_t j : candidates[i].neighbors) touched = touched || ((set >> j) & 1u);
      fits = fits && in != touched;
      area += in ? candidates[i].face.area : 0;
      count += in ? 1 : 0;
    }
    if (fits && count >= 2) least = std::min(least, area);
  }
  return least;
}

TEST(ChooseEnds, AgreesWithTryingAllSets) {
  std::mt19937 random(20);
  for (int round = 0; round < 300; ++round) {
    std::vector<double> areas(2 + random() % 9);
    for (double& area : areas) area = static_cast<double>(1 + random() % 50);
    std::vector<bool> edges(128);
    const unsigned density = 1 + random() % 4;
    for (std::size_t i = 0; i < edges.size(); ++i) edges[i] = random() % 5 < density;
    const auto candidates =
        graph_of(areas, [&](std::size_t i, std::size_t j) { return edges[(i * 11 + j) % edges.size()]; });
    const auto ends = choose_ends(candidates, {});
    ASSERT_TRUE(ends.ok());
    double area = 0;
    for (const std::size_t each : ends.value().chosen) area += areas[each];
    const double least = least_area_by_trial(candidates);
    EXPECT_EQ(ends.value().chosen.empty() ? std::numeric_limits<double>::infinity() : area, least) << round;
  }
}

TEST(ChooseEnds, GivesUpWhereTooManyCouldBe) {
  const std::vector<double> areas(200, 1.0);  // forty rings of five
  const auto candidates = graph_of(
      areas, [](std::size_t i, std::size_t j) { return i / 5 == j / 5 && (j - i == 1 || j - i == 4); });
  const auto ends = choose_ends(candidates, {});
  ASSERT_FALSE(ends.ok());
  EXPECT_EQ(ends.issues().front().code, "ends_undecided");
}

TEST(SoundSolid, VolumeOfAClosedSolidEitherWayRound) {
  const auto solid = BRepPrimAPI_MakeCylinder(40, 500).Shape();
  for (const auto& each : {solid, solid.Reversed()}) {
    const auto sound = sound_solid(each, "duct");
    ASSERT_TRUE(sound.ok());
    EXPECT_CLOSE(sound.value().volume, pi * 0.04 * 0.04 * 0.5);
    const auto openings = openings_of(sound.value().solid);
    ASSERT_EQ(openings.size(), 2u);
    EXPECT_LT(openings[0].normal[2] * openings[1].normal[2], 0);
    EXPECT_GT(openings[0].normal[2] * (openings[0].center[2] - 0.25), 0) << "out of the passage";
  }
}

TEST(SoundSolid, MissingFaceIsNamedWithItsOpenEdges) {
  TopoDS_Shell shell;
  BRep_Builder().MakeShell(shell);
  TopExp_Explorer face(BRepPrimAPI_MakeBox(300, 120, 80).Shape(), TopAbs_FACE);
  for (face.Next(); face.More(); face.Next()) BRep_Builder().Add(shell, face.Current());
  TopoDS_Solid solid;
  BRep_Builder().MakeSolid(solid);
  BRep_Builder().Add(solid, shell);
  EXPECT_EQ(open_edges(solid), 4);
  const auto sound = sound_solid(solid, "duct");
  ASSERT_FALSE(sound.ok());
  EXPECT_EQ(sound.issues().front().code, "not_closed");
  EXPECT_NE(sound.issues().front().text.find("1 shell, 5 faces, 4 open edges"), std::string::npos);
}

TEST(SoundSolid, SeamsAndPolesAreNotOpen) {
  EXPECT_EQ(open_edges(BRepPrimAPI_MakeCylinder(40, 500).Shape()), 0);
  EXPECT_EQ(open_edges(BRepPrimAPI_MakeCone(40, 0, 500).Shape()), 0);
}

TEST(SoundSolid, CrossedRimIsInvalid) {
  const auto bow_tie = prism({{0, 0}, {100, 100}, {100, 0}, {0, 100}}, 50);
  const auto sound = sound_solid(bow_tie, "duct");
  ASSERT_FALSE(sound.ok());
  EXPECT_EQ(sound.issues().front().code, "invalid_solid");
}

TEST(Names, WordsThatSayAir) {
  const auto says = [](const char* name) {
    Body body;
    body.name = std::string("car/") + name;
    return says_flow_volume(body);
  };
  for (const char* name :
       {"air", "nose_air", "NoseAir", "Air Volume 2", "airflow", "FLUID", "flow-volume", "volumes"}) {
    EXPECT_TRUE(says(name)) << name;
  }
  for (const char* name : {"fairing", "chair", "repair", "overflow", "airbox", "duct"}) {
    EXPECT_FALSE(says(name)) << name;
  }
}

TEST(Names, DirectionOfAnEnd) {
  for (const char* name : {"in", "inlet", "duct.from", "Nose Inlet", "outlet_duct.in"}) {
    EXPECT_EQ(flow_end(name), FlowEnd::entry) << name;
  }
  for (const char* name : {"out", "outlet", "inlet.to", "duct_outlet"}) {
    EXPECT_EQ(flow_end(name), FlowEnd::exit) << name;
  }
  for (const char* name : {"opening 1", "in_out", "point", "", "duct.branch"}) {
    EXPECT_EQ(flow_end(name), FlowEnd::unknown) << name;
  }
}

TEST(Names, NamesThatAProgramGave) {
  for (const char* name : {"", "  ", "12", "#34", "NONE", "=>[0:1:1:4]"})
    EXPECT_EQ(given_name(name), "") << name;
  EXPECT_EQ(given_name(" duct 1 "), "duct 1");
  EXPECT_EQ(port_of_name("port:nose.from"), "nose.from");
  EXPECT_EQ(port_of_name("PORT: nose.from"), "nose.from");
  EXPECT_FALSE(port_of_name("port:"));
  EXPECT_FALSE(port_of_name("support:nose.from"));
}

}  // namespace
}  // namespace corefeed::geometry
