// SPDX-License-Identifier: Apache-2.0
// Cores, with the end of a duct before them.
#include <BRepPrimAPI_MakeBox.hxx>
#include <cmath>
#include <gp_Ax1.hxx>
#include <numbers>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double gap = 5.0;

/// Integral of sqrt(gap^2 + s^2) from 0 to `reach`: rim that runs away from the core's edge.
double running_away(double reach) {
  const double far = std::hypot(gap, reach);
  return 0.5 * (reach * far + gap * gap * std::asinh(reach / gap));
}

/// A block 500 mm x 300 mm x 40 mm, and the air of a duct that ends 5 mm before it: 520 mm wide, 10 mm more
/// than the core on either side, and 280 mm high.
Sample radiator_and_duct() {
  constexpr double width = 520.0;
  constexpr double height = 280.0;
  Sample sample;
  sample.name = "radiator_and_duct";
  sample.assembly = "nose";
  sample.bodies = {
      {"radiator", box(gp_Pnt(0, -250, -150), gp_Pnt(40, 250, 150)), gp_Trsf(), {}, "", 40.0 * 500.0 * 300.0},
      {"nose_air",
       box(gp_Pnt(-705, -260, -140), gp_Pnt(-gap, 260, 140)),
       gp_Trsf(),
       {},
       "",
       700.0 * width * height}};
  sample.truth.formula =
      "block w x h x d; rim gap: 5 mm along the 500 mm of each long side before the core, sqrt(5^2 + s^2) on "
      "the "
      "10 mm beyond, sqrt(5^2 + 10^2) along the short sides; coverage 500 x 280 of 500 x 300";
  const double rim = 2 * (width + height);
  const double area = 2 * (500 * gap + 2 * running_away(10)) + 2 * height * std::hypot(gap, 10.0);
  const Json core = {{"face_area", square_meters(150000)},
                     {"free_face_area", square_meters(150000)},
                     {"depth", meters(40)},
                     {"center", to_json(gp_Pnt(20, 0, 0))},
                     {"normal", to_json(gp_Dir(1, 0, 0))}};
  const Json opening = {
      {"name", "opening 1"}, {"free_area", square_meters(width * height)}, {"blocked_by", Json::array()}};
  sample.expected = {{"parts", Json::array({Json{{"name", "radiator"}, {"kind", "core"}, {"core", core}},
                                            Json{{"name", "nose_air"},
                                                 {"kind", "flow volume"},
                                                 {"openings", Json::array({opening, Json::object()})}}})},
                     {"gaps", Json::array({Json{{"duct", "nose_air"},
                                                {"core", "radiator"},
                                                {"rim_length", meters(rim)},
                                                {"gap_area", square_meters(area)},
                                                {"face_coverage", 280.0 / 300.0},
                                                {"incidence", 0.0}}})}};
  return sample;
}

/// Tanks above and below, side plates, 4 tubes 2 mm thick and 30 mm deep, 5 blocks of fins 10 mm wide and 28
/// mm deep between and beside them.
Sample tube_radiator() {
  Sample sample;
  sample.name = "tube_radiator";
  sample.assembly = "car";
  const auto add = [&sample](const std::string& name, const gp_Pnt& low, const gp_Pnt& high) {
    const double volume = (high.X() - low.X()) * (high.Y() - low.Y()) * (high.Z() - low.Z());
    sample.bodies.push_back({name, box(low, high), gp_Trsf(), {}, "front_radiator", volume});
  };
  add("tank_top", gp_Pnt(-5, -40, 200), gp_Pnt(35, 98, 240));
  add("tank_bottom", gp_Pnt(-5, -40, -40), gp_Pnt(35, 98, 0));
  add("side_plate_left", gp_Pnt(0, -3, 0), gp_Pnt(30, 0, 200));
  add("side_plate_right", gp_Pnt(0, 58, 0), gp_Pnt(30, 61, 200));
  for (int i = 0; i < 5; ++i) {
    const double y = 12.0 * i;
    add("fins_" + std::to_string(i + 1), gp_Pnt(1, y, 0), gp_Pnt(29, y + 10, 200));
    if (i < 4) add("tube_" + std::to_string(i + 1), gp_Pnt(0, y + 10, 0), gp_Pnt(30, y + 12, 200));
  }
  sample.truth.formula =
      "face: 58 mm between the side plates x 200 mm between the tanks; 4 tubes of 2 mm x 200 mm stand in it";
  const Json core = {{"face_area", square_meters(58 * 200)},
                     {"free_face_area", square_meters(50 * 200)},
                     {"depth", meters(30)},
                     {"center", to_json(gp_Pnt(15, 29, 100))},
                     {"normal", to_json(gp_Dir(1, 0, 0))}};
  sample.expected["parts"] =
      Json::array({Json{{"name", "front_radiator"}, {"kind", "core"}, {"core", core}}});
  sample.expected["gaps"] = Json::array();
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0.2)), -0.3);
  return moved(std::move(sample), turn);
}

/// The end of a duct 400 mm x 200 mm before a core that is inclined to it by 20 degrees. The foot of every
/// point of the rim lies on the core's face, so that the nearest distance is that to its plane.
Sample inclined_core() {
  constexpr double incline = std::numbers::pi / 9;
  constexpr double away = 60.0;  // from the end's middle to the face, along the duct
  constexpr double width = 400.0;
  constexpr double height = 200.0;
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(away, 0, 0), gp_Dir(0, 1, 0)), -incline);
  Sample sample;
  sample.name = "inclined_core";
  sample.assembly = "flank";
  sample.bodies = {{"oil_cooler",
                    box(gp_Pnt(away, -250, -150), gp_Pnt(away + 40, 250, 150)),
                    turn,
                    {},
                    "",
                    40.0 * 500.0 * 300.0},
                   {"flank_air",
                    box(gp_Pnt(-400, -width / 2, -height / 2), gp_Pnt(0, width / 2, height / 2)),
                    gp_Trsf(),
                    {},
                    "",
                    400.0 * width * height}};
  sample.truth.formula =
      "core inclined by d = 20 deg, 60 mm before the middle of the end w x h: gap area 2 (w + h) 60 mm cos "
      "d, "
      "coverage w h cos d of 500 mm x 300 mm, incidence d";
  const gp_Dir normal = gp_Dir(1, 0, 0).Transformed(turn);
  const Json core = {{"face_area", square_meters(150000)},
                     {"free_face_area", square_meters(150000)},
                     {"depth", meters(40)},
                     {"center", to_json(gp_Pnt(away + 20, 0, 0).Transformed(turn))},
                     {"normal", to_json(normal)}};
  sample.expected = {
      {"parts", Json::array({Json{{"name", "oil_cooler"}, {"kind", "core"}, {"core", core}},
                             Json{{"name", "flank_air"}, {"kind", "flow volume"}}})},
      {"gaps", Json::array({Json{{"duct", "flank_air"},
                                 {"core", "oil_cooler"},
                                 {"rim_length", meters(2 * (width + height))},
                                 {"gap_area", square_meters(2 * (width + height) * away * std::cos(incline))},
                                 {"face_coverage", width * height * std::cos(incline) / 150000},
                                 {"incidence", incline}}})}};
  return sample;
}

}  // namespace

std::vector<Sample> core_samples() { return {radiator_and_duct(), inclined_core(), tube_radiator()}; }

}  // namespace corefeed::geometry_samples
