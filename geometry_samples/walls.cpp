// SPDX-License-Identifier: Apache-2.0
// Ducts as a shop draws them: sheet with thickness, open surfaces, vanes in the passage.
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Shell.hxx>
#include <cmath>
#include <gp_Ax2.hxx>
#include <numbers>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double pi = std::numbers::pi;

Json opening(double area, double perimeter) {
  return {{"area", square_meters(area)},
          {"perimeter", meters(perimeter)},
          {"hydraulic_diameter", meters(4 * area / perimeter)},
          {"free_area", square_meters(area)},
          {"blocked_by", Json::array()}};
}

Json duct(const std::string& name, const std::string& kind, double volume, const Json& from, const Json& to,
          double length) {
  return {{"name", name},
          {"kind", kind},
          {"volume", volume / 1e9},
          {"openings", Json::array({from, to})},
          {"paths", Json::array({Json{{"length", meters(length)}}})},
          {"cutouts", Json::array()}};
}

/// A pipe of 100 mm bore and 2 mm wall with flanges 4 mm thick and 160 mm across, four bolt holes of 6 mm in
/// each.
Sample flanged_pipe() {
  const gp_Dir along(1, 0, 0);
  TopoDS_Shape body = cylinder(gp_Pnt(0, 0, 0), along, 52, 300);
  for (const double x : {0.0, 296.0}) {
    BRepAlgoAPI_Fuse fuse(body, cylinder(gp_Pnt(x, 0, 0), along, 80, 4));
    body = fuse.Shape();
  }
  std::vector<TopoDS_Shape> holes{cylinder(gp_Pnt(-10, 0, 0), along, 50, 320)};
  for (int i = 0; i < 4; ++i) {
    const double angle = pi / 4 + i * pi / 2;
    holes.push_back(cylinder(gp_Pnt(-10, 66 * std::cos(angle), 66 * std::sin(angle)), along, 3, 320));
  }
  const double flange = 80.0 * 80.0 - 50.0 * 50.0 - 4 * 3.0 * 3.0;
  const double pipe = 52.0 * 52.0 - 50.0 * 50.0;
  Sample sample;
  sample.name = "flanged_pipe";
  sample.bodies = {
      {"brake_duct_sheet", cut(body, holes), gp_Trsf(), {}, "", pi * (2 * 4 * flange + 292 * pipe)}};
  sample.truth.formula =
      "bore D = 100 mm, L = 300 mm: A = pi D^2 / 4, P = pi D, V = A L; bolt holes are no ends";
  const Json end = opening(pi * 2500, pi * 100);
  sample.expected["parts"] =
      Json::array({duct("brake_duct_sheet", "sheet part", pi * 2500 * 300, end, end, 300)});
  return sample;
}

gp_Ax2 origin_frame() { return gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)); }

/// Rectangular, 120 mm x 80 mm inside, straights of 100 mm and 150 mm with a bend of 60 degrees and 150 mm
/// radius between; `wall` thick all round (0: the inside alone).
TopoDS_Solid bent(double wall) {
  DuctChain chain(origin_frame(), {false, 120.0 + 2 * wall, 80.0 + 2 * wall});
  chain.straight(100);
  chain.bend(pi / 3, 150, gp_Dir(0, 1, 0));
  chain.straight(150);
  return chain.solid();
}

constexpr double bent_length = 250.0 + 150.0 * pi / 3;

Json bent_truth(const std::string& name, const std::string& kind) {
  const Json end = opening(9600, 400);
  return duct(name, kind, 9600 * bent_length, end, end, bent_length);
}

const std::string bent_formula =
    "inside 120 mm x 80 mm, length 100 mm + R pi / 3 + 150 mm with R = 150 mm, V = A length (Pappus)";

Sample sheet_bend() {
  Sample sample;
  sample.name = "sheet_bend";
  sample.bodies = {{"cooler_duct_sheet",
                    cut(bent(1.5), {bent(0)}),
                    gp_Trsf(),
                    {},
                    "",
                    (123.0 * 83.0 - 120.0 * 80.0) * bent_length}};
  sample.truth.formula = bent_formula;
  sample.expected["parts"] = Json::array({bent_truth("cooler_duct_sheet", "sheet part")});
  return sample;
}

/// The walls of the bend without its ends: one shell, or each face a shell of its own and every second one
/// turned inside out.
Sample shell_bend(const std::string& name, bool apart) {
  TopoDS_Compound compound;
  TopoDS_Shell whole;
  const BRep_Builder builder;
  builder.MakeCompound(compound);
  builder.MakeShell(whole);
  int count = 0;
  const TopoDS_Solid solid = bent(0);
  DuctChain ends(origin_frame(), {false, 120.0, 80.0});
  ends.straight(100);
  ends.bend(pi / 3, 150, gp_Dir(0, 1, 0));
  ends.straight(150);
  const Truth truth = ends.truth("");
  for (TopExp_Explorer each(solid, TopAbs_FACE); each.More(); each.Next()) {
    if (each.Current().IsSame(end_face(solid, truth.ends.front())) ||
        each.Current().IsSame(end_face(solid, truth.ends.back())))
      continue;
    if (!apart) {
      builder.Add(whole, each.Current());
      continue;
    }
    TopoDS_Shell one;
    builder.MakeShell(one);
    builder.Add(one, ++count % 2 == 0 ? each.Current().Reversed() : each.Current());
    builder.Add(compound, one);
  }
  Sample sample;
  sample.name = name;
  sample.bodies = {{"cooler_duct_skin",
                    apart ? TopoDS_Shape(compound) : TopoDS_Shape(whole),
                    gp_Trsf(),
                    {},
                    "",
                    std::nullopt}};
  sample.truth.formula = bent_formula + "; open surfaces";
  sample.expected["parts"] = Json::array({bent_truth("cooler_duct_skin", "shell")});
  return sample;
}

/// 200 mm x 100 mm, 400 mm long, with a plate 2 mm thick and 150 mm long from side to side half way up.
Sample vane_duct() {
  Sample sample;
  sample.name = "vane_duct";
  sample.bodies = {
      {"vane_duct",
       cut(box(gp_Pnt(0, 0, 0), gp_Pnt(400, 200, 100)), {box(gp_Pnt(125, -10, 49), gp_Pnt(275, 210, 51))}),
       gp_Trsf(),
       {},
       "",
       400.0 * 200.0 * 100.0 - 150.0 * 200.0 * 2.0}};
  sample.truth.formula =
      "box w x h; beside the vane two passages of 200 mm x 49 mm: A = 2 w 49 mm, P = 2 x 2 (w + 49 mm)";
  const Json end = opening(20000, 600);
  Json part = duct("vane_duct", "flow volume", *sample.bodies[0].solid_volume, end, end, 400);
  part["paths"][0]["narrowest"] = {{"area", square_meters(2 * 200 * 49)}};
  part["paths"][0]["stations"] = Json::array(
      {Json{{"area", square_meters(20000)}, {"perimeter", meters(600)}, {"loops", 1}},
       Json{{"area", square_meters(2 * 200 * 49)}, {"perimeter", meters(2 * 2 * 249)}, {"loops", 2}},
       Json{{"area", square_meters(20000)}, {"perimeter", meters(600)}, {"loops", 1}}});
  sample.expected["parts"] = Json::array({part});
  return sample;
}

}  // namespace

std::vector<Sample> wall_samples() {
  return {flanged_pipe(), sheet_bend(), shell_bend("open_shell", false), shell_bend("open_shell_apart", true),
          vane_duct()};
}

}  // namespace corefeed::geometry_samples
