// SPDX-License-Identifier: Apache-2.0
// Panels with holes, what stands behind them, and a louvre.
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <cmath>
#include <gp_Ax1.hxx>
#include <numbers>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180.0;
constexpr double sheet = 2.0;  // thickness of the panels, from z = -2 mm to 0

Json part(const std::string& name, const std::string& kind, const Json& cutouts) {
  return {
      {"name", name}, {"kind", kind}, {"volume", nullptr}, {"openings", Json::array()}, {"cutouts", cutouts}};
}

/// A rectangle 200 mm x 100 mm and a circle of 80 mm in a flat panel, a rail 30 mm behind the first that
/// covers `overlap` of its width, and a plate 20 mm behind the second that covers half of it.
Sample flat_vents(const std::string& name, double overlap) {
  const TopoDS_Shape panel = cut(box(gp_Pnt(0, 0, -sheet), gp_Pnt(460, 160, 0)),
                                 {box(gp_Pnt(30, 30, -10), gp_Pnt(230, 130, 10)),
                                  cylinder(gp_Pnt(350, 80, -10), gp_Dir(0, 0, 1), 40, 20)});
  const double rail = 230.0 - overlap;
  const double circle = pi * 40.0 * 40.0;
  Sample sample;
  sample.name = name;
  sample.assembly = "flank";
  sample.bodies = {
      {"vent_panel", panel, gp_Trsf(), {}, "", sheet * (460.0 * 160.0 - 200.0 * 100.0 - circle)},
      {"frame_rail",
       box(gp_Pnt(rail, -50, -72), gp_Pnt(rail + 40, 210, -32)),
       gp_Trsf(),
       {},
       "",
       40.0 * 40.0 * 260.0},
      {"bracket", box(gp_Pnt(350, 20, -30), gp_Pnt(420, 140, -22)), gp_Trsf(), {}, "", 70.0 * 120.0 * 8.0}};
  sample.truth.formula =
      "A = w h and pi D^2 / 4; the rail covers overlap x 100 mm, outline 2 (overlap + 100 mm), all of it "
      "open; "
      "the bracket covers half the circle, outline D (1 + pi / 2)";
  const double share = overlap / 200.0;
  const Json rectangle = {
      {"area", square_meters(20000)},
      {"projected_area", square_meters(20000)},
      {"perimeter", meters(600)},
      {"thickness", meters(sheet)},
      {"center", to_json(gp_Pnt(130, 80, 0))},
      {"normal", to_json(gp_Dir(0, 0, 1))},
      {"free_area", square_meters(20000) * (1 - share)},
      {"blocked_by", Json::array({blocker("frame_rail", 30, share, 2 * (overlap + 100))})}};
  const Json round = {{"area", square_meters(circle)},
                      {"projected_area", square_meters(circle)},
                      {"perimeter", meters(80 * pi)},
                      {"thickness", meters(sheet)},
                      {"center", to_json(gp_Pnt(350, 80, 0))},
                      {"normal", to_json(gp_Dir(0, 0, 1))},
                      {"free_area", square_meters(0.5 * circle)},
                      {"blocked_by", Json::array({blocker("bracket", 20, 0.5, 80 * (1 + pi / 2))})}};
  sample.expected["parts"] =
      Json::array({part("vent_panel", "panel", Json::array({rectangle, round})),
                   part("frame_rail", "body", Json::array()), part("bracket", "body", Json::array())});
  return sample;
}

/// A round hole of 100 mm through a cylindrical skin of 300 mm outer radius.
Sample curved_vent() {
  constexpr double outer = 300.0;
  constexpr double r = 50.0;
  const TopoDS_Shape tube = cut(cylinder(gp_Pnt(0, -150, 0), gp_Dir(0, 1, 0), outer, 300),
                                {cylinder(gp_Pnt(0, -151, 0), gp_Dir(0, 1, 0), outer - sheet, 302)});
  // What is left of the tube lies above z = 240 mm, 37 degrees to either side.
  const TopoDS_Shape panel = cut(tube, {box(gp_Pnt(-400, -200, -400), gp_Pnt(400, 200, 240)),
                                        cylinder(gp_Pnt(0, 0, 200), gp_Dir(0, 0, 1), r, 200)});
  const auto height = [](double x) { return std::sqrt(outer * outer - x * x); };
  const auto chord = [](double x) { return 2 * std::sqrt(r * r - x * x); };
  // x = r sin(a) keeps the integrands smooth at the rim.
  const auto over_disk = [&](const std::function<double(double)>& f) {
    return integral([&](double a) { return f(r * std::sin(a)) * chord(r * std::sin(a)) * r * std::cos(a); },
                    -pi / 2, pi / 2);
  };
  const double area = over_disk([&](double x) { return outer / height(x); });
  const double perimeter = integral(
      [&](double a) {
        const double x = r * std::cos(a);
        const double slope = x * r * std::sin(a) / height(x);
        return std::sqrt(r * r + slope * slope);
      },
      0, 2 * pi);
  Sample sample;
  sample.name = "curved_vent";
  sample.assembly = "curved_vent";
  sample.unit = LengthUnit::inch;
  sample.bodies = {{"fender_panel", panel, gp_Trsf(), {}, "", std::nullopt}};
  sample.truth.formula =
      "hole of radius r along the normal of a cylinder of radius R: projected area pi r^2, area the integral "
      "of R "
      "/ sqrt(R^2 - x^2) over the disk, perimeter the integral of sqrt(r^2 + (x y / z)^2) over the angle, "
      "center "
      "of the skin at height R pi r^2 / area";
  const Json hole = {{"area", square_meters(area)},
                     {"projected_area", square_meters(pi * r * r)},
                     {"perimeter", meters(perimeter)},
                     {"thickness", meters(sheet)},
                     {"center", to_json(gp_Pnt(0, 0, outer * pi * r * r / area))},
                     {"normal", to_json(gp_Dir(0, 0, 1))},
                     {"free_area", square_meters(pi * r * r)},
                     {"blocked_by", Json::array()}};
  sample.expected["parts"] = Json::array({part("fender_panel", "panel", Json::array({hole}))});
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(1, -2, 0.5)), 61.0 * degree);
  gp_Trsf shift;
  shift.SetTranslation(gp_Vec(2750.0, -810.0, 655.0));
  return moved(std::move(sample), shift * turn);
}

/// Five slots of 14 mm x 120 mm, 24 mm apart, at 40 degrees through a panel 10 mm thick.
Sample louvre_panel() {
  constexpr double slot = 14.0;
  constexpr double pitch = 24.0;
  constexpr double depth = 10.0;
  constexpr double width = 120.0;
  constexpr double angle = 40.0 * degree;
  std::vector<TopoDS_Shape> slots;
  for (int i = 0; i < 5; ++i) {
    const double x = 40.0 + pitch * i;
    const double lean = std::tan(angle);
    BRepBuilderAPI_MakePolygon side;
    side.Add(gp_Pnt(x - lean, 20, 1));
    side.Add(gp_Pnt(x + slot - lean, 20, 1));
    side.Add(gp_Pnt(x + slot + lean * (depth + 1), 20, -depth - 1));
    side.Add(gp_Pnt(x + lean * (depth + 1), 20, -depth - 1));
    side.Close();
    slots.push_back(
        BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(side.Wire()).Face(), gp_Vec(0, width, 0)).Shape());
  }
  Sample sample;
  sample.name = "louvre_panel";
  sample.unit = LengthUnit::meter;
  sample.bodies = {{"louvre_panel",
                    cut(box(gp_Pnt(0, 0, -depth), gp_Pnt(200, 160, 0)), slots),
                    gp_Trsf(),
                    {},
                    "",
                    depth * (200.0 * 160.0 - 5 * slot * width)}};
  sample.truth.formula =
      "5 slots w x l, pitch p, at the angle d: projected area 5 w l, gross area (4 p + w) l, throat area 5 w "
      "l "
      "cos d";
  const double projected = 5 * slot * width;
  const double throat = projected * std::cos(angle);
  const Json louvre = {{"blades", 4},
                       {"blade_angle", angle},
                       {"gross_area", square_meters((4 * pitch + slot) * width)},
                       {"throat_area", square_meters(throat)}};
  const Json hole = {{"area", square_meters(projected)},
                     {"projected_area", square_meters(projected)},
                     {"perimeter", meters(5 * 2 * (slot + width))},
                     {"thickness", meters(depth)},
                     {"normal", to_json(gp_Dir(0, 0, 1))},
                     {"free_area", square_meters(throat)},
                     {"blocked_by", Json::array()},
                     {"louvre", louvre}};
  sample.expected["parts"] = Json::array({part("louvre_panel", "panel", Json::array({hole}))});
  return sample;
}

}  // namespace

std::vector<Sample> vent_samples() {
  return {flat_vents("vent_and_rail", 40), flat_vents("vent_and_rail_moved", 30), curved_vent(),
          louvre_panel()};
}

}  // namespace corefeed::geometry_samples
