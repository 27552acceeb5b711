// SPDX-License-Identifier: Apache-2.0
// Vents in cylindrical panels. The cylinder's axis is y, its highest line x = 0.
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

/// What lies above z = `low` of a tube round y from y = -reach to reach.
TopoDS_Shape curved_sheet(double outer, double thickness, double reach, double low) {
  const TopoDS_Shape tube =
      cut(cylinder(gp_Pnt(0, -reach, 0), gp_Dir(0, 1, 0), outer, 2 * reach),
          {cylinder(gp_Pnt(0, -reach - 1, 0), gp_Dir(0, 1, 0), outer - thickness, 2 * reach + 2)});
  return cut(tube, {box(gp_Pnt(-2 * outer, -2 * reach, -2 * outer), gp_Pnt(2 * outer, 2 * reach, low))});
}

/// A hole 120 mm x 160 mm seen from above in a sheet of 2 mm and 300 mm radius; a flat rail below it covers
/// the third of it beyond x = 20 mm.
Sample curved_vent_and_rail() {
  constexpr double outer = 300.0;
  constexpr double sheet = 2.0;
  constexpr double half_width = 60.0;
  constexpr double half_length = 80.0;
  constexpr double rail_from = 20.0;
  constexpr double rail_top = 220.0;
  const TopoDS_Shape panel =
      cut(curved_sheet(outer, sheet, 150, 260),
          {box(gp_Pnt(-half_width, -half_length, 200), gp_Pnt(half_width, half_length, 400))});
  Sample sample;
  sample.name = "curved_vent_and_rail";
  sample.assembly = "fender";
  sample.bodies = {{"fender_skin", panel, gp_Trsf(), {}, "", std::nullopt},
                   {"frame_rail",
                    box(gp_Pnt(rail_from, -160, rail_top - 40), gp_Pnt(rail_from + 70, 160, rail_top)),
                    gp_Trsf(),
                    {},
                    "",
                    70.0 * 320.0 * 40.0}};
  sample.truth.formula =
      "hole 2 b x l in a cylinder of radius R: projected area 2 b l, area 2 R asin(b / R) l, perimeter 2 l + "
      "4 "
      "R asin(b / R), center of the skin at height 2 b l R / area; the rail covers a third, gap the mean of "
      "sqrt((R - 2 mm)^2 - x^2) - 220 mm for x from 20 mm to 60 mm";
  const double arc = 2 * outer * std::asin(half_width / outer);
  const double length = 2 * half_length;
  const double projected = 2 * half_width * length;
  const double covered = half_width - rail_from;
  const double gap =
      integral([](double x) { return std::sqrt((outer - sheet) * (outer - sheet) - x * x) - rail_top; },
               rail_from, half_width) /
      covered;
  const double share = covered / (2 * half_width);
  const Json hole = {
      {"area", square_meters(arc * length)},
      {"projected_area", square_meters(projected)},
      {"perimeter", meters(2 * length + 2 * arc)},
      {"thickness", meters(sheet)},
      {"center", to_json(gp_Pnt(0, 0, outer * projected / (arc * length)))},
      {"normal", to_json(gp_Dir(0, 0, 1))},
      {"free_area", square_meters(projected * (1 - share))},
      {"blocked_by", Json::array({blocker("frame_rail", gap, share, 2 * (covered + length))})}};
  sample.expected["parts"] = Json::array(
      {Json{
           {"name", "fender_skin"}, {"kind", "panel"}, {"volume", nullptr}, {"cutouts", Json::array({hole})}},
       Json{{"name", "frame_rail"}, {"kind", "body"}}});
  return sample;
}

/// Four slots of 12 mm along y and 100 mm along x, 22 mm apart, leaning by 35 degrees along y through a sheet
/// of 8 mm and 1200 mm radius; a bracket behind the half x > 0.
Sample curved_louvre() {
  constexpr double outer = 1200.0;
  constexpr double sheet = 8.0;
  constexpr double slot = 12.0;
  constexpr double pitch = 22.0;
  constexpr double half_length = 50.0;
  constexpr double angle = 35.0 * degree;
  constexpr int count = 4;
  const double lean = std::tan(angle);
  const double first = -0.5 * ((count - 1) * pitch + slot);
  std::vector<TopoDS_Shape> slots;
  for (int i = 0; i < count; ++i) {
    const double y = first + pitch * i;
    constexpr double above = 3.0;
    constexpr double below = 15.0;
    BRepBuilderAPI_MakePolygon side;
    side.Add(gp_Pnt(-half_length, y - lean * above, outer + above));
    side.Add(gp_Pnt(-half_length, y + slot - lean * above, outer + above));
    side.Add(gp_Pnt(-half_length, y + slot + lean * below, outer - below));
    side.Add(gp_Pnt(-half_length, y + lean * below, outer - below));
    side.Close();
    slots.push_back(
        BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(side.Wire()).Face(), gp_Vec(2 * half_length, 0, 0))
            .Shape());
  }
  Sample sample;
  sample.name = "curved_louvre";
  sample.assembly = "fender";
  sample.bodies = {
      {"fender_louvre", cut(curved_sheet(outer, sheet, 90, 1188), slots), gp_Trsf(), {}, "", std::nullopt},
      {"bracket", box(gp_Pnt(0, -120, 1140), gp_Pnt(90, 120, 1160)), gp_Trsf(), {}, "", 90.0 * 240.0 * 20.0}};
  sample.truth.formula =
      "4 slots w x l, pitch p, leaning by d along the cylinder's axis: projected area 4 w l, area 4 w 2 R "
      "asin(l "
      "/ 2 R), throat area 4 w l cos d, gross area (3 p + w) l; perimeter 8 w and the integral of sqrt(1 + "
      "(x / "
      "(z cos d))^2) along the long sides; the bracket covers half";
  const double length = 2 * half_length;
  const double projected = count * slot * length;
  const double throat = projected * std::cos(angle);
  const double side = integral(
      [](double x) {
        const double z = std::sqrt(outer * outer - x * x);
        return std::hypot(1.0, x / (z * std::cos(angle)));
      },
      -half_length, half_length);
  const Json louvre = {{"blades", count - 1},
                       {"blade_angle", angle},
                       {"gross_area", square_meters(((count - 1) * pitch + slot) * length)},
                       {"throat_area", square_meters(throat)}};
  const Json bracket = {{"part", "bracket"}, {"share", 0.5}};
  const Json hole = {{"area", square_meters(count * slot * 2 * outer * std::asin(half_length / outer))},
                     {"projected_area", square_meters(projected)},
                     {"perimeter", meters(count * (2 * slot + 2 * side))},
                     {"thickness", meters(sheet)},
                     {"normal", to_json(gp_Dir(0, 0, 1))},
                     {"free_area", square_meters(0.5 * throat)},
                     {"blocked_by", Json::array({bracket})},
                     {"louvre", louvre}};
  sample.expected["parts"] =
      Json::array({Json{{"name", "fender_louvre"}, {"kind", "panel"}, {"cutouts", Json::array({hole})}},
                   Json{{"name", "bracket"}, {"kind", "body"}}});
  return sample;
}

}  // namespace

std::vector<Sample> curved_panel_samples() { return {curved_vent_and_rail(), curved_louvre()}; }

}  // namespace corefeed::geometry_samples
