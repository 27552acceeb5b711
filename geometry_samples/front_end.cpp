// SPDX-License-Identifier: Apache-2.0
// The front of the invented hill-climb car as one assembly: duct, core behind it, fender with a vent, frame
// rail.
#include <BRepPrimAPI_MakeBox.hxx>
#include <gp_Ax2.hxx>
#include <gp_Ax3.hxx>
#include <numbers>
#include <string>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double seal_gap = 4.0;  // between the duct's end and the core
constexpr double sheet = 1.5;     // thickness of the fender
constexpr double vent_width = 260.0;
constexpr double vent_height = 200.0;
constexpr double rail_gap = 55.0;  // between the fender's inner skin and the rail
constexpr double rail_overlap = 80.0;

/// `rail_shift` moves the rail out of the vent.
Sample front_end(const std::string& name, double rail_shift) {
  DuctChain chain(gp_Ax2(gp_Pnt(0, 0, 180), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)), {false, 300.0, 140.0});
  chain.straight(260.0);
  chain.bend(25.0 * degree, 300.0, gp_Dir(0, 0, 1));
  chain.widen(350.0, 500.0, 300.0);
  chain.straight(20.0);
  const Truth duct = chain.truth("");
  Sample sample = with_port_bodies(single_part("nose_duct", chain.solid(), duct), name, "nose_duct");
  sample.name = name;
  // In the frame of the duct's end: x along its width, y along its height, z with the flow.
  const gp_Ax2 end = chain.frame();
  gp_Trsf seat;
  seat.SetTransformation(gp_Ax3(end), gp_Ax3());
  sample.bodies.push_back({"radiator",
                           box(gp_Pnt(-250, -150, seal_gap), gp_Pnt(250, 150, seal_gap + 40)),
                           seat,
                           {},
                           "",
                           40.0 * 500.0 * 300.0});
  const TopoDS_Shape fender =
      cut(box(gp_Pnt(900, 700 - sheet, 150), gp_Pnt(1400, 700, 600)),
          {box(gp_Pnt(1000, 690, 300), gp_Pnt(1000 + vent_width, 710, 300 + vent_height))});
  sample.bodies.push_back(
      {"fender", fender, gp_Trsf(), {}, "", sheet * (500.0 * 450.0 - vent_width * vent_height)});
  const double overlap = rail_overlap - rail_shift;
  const double top = 300.0 + overlap;
  const double inner = 700.0 - sheet - rail_gap;
  sample.bodies.push_back({"frame_rail",
                           box(gp_Pnt(800, inner - 60, top - 100), gp_Pnt(1500, inner, top)),
                           gp_Trsf(),
                           {},
                           "",
                           700.0 * 60.0 * 100.0});
  sample.truth.formula =
      "core 4 mm behind the duct's end 500 mm x 300 mm, faces equal: gap 2 (w + h) 4 mm; vent w h in a flat "
      "fender; "
      "the rail covers overlap x w of it, 55 mm behind the inner skin, outline 2 (overlap + w), all of it "
      "open";
  const double share = overlap / vent_height;
  const Json hole = {
      {"area", square_meters(vent_width * vent_height)},
      {"projected_area", square_meters(vent_width * vent_height)},
      {"perimeter", meters(2 * (vent_width + vent_height))},
      {"thickness", meters(sheet)},
      {"free_area", square_meters(vent_width * vent_height) * (1 - share)},
      {"blocked_by", Json::array({blocker("frame_rail", rail_gap, share, 2 * (overlap + vent_width))})}};
  sample.expected = {
      {"parts",
       Json::array(
           {Json{{"name", "nose_duct"}, {"kind", "flow volume"}},
            Json{{"name", "radiator"}, {"kind", "core"}, {"core", {{"face_area", square_meters(150000)}}}},
            Json{{"name", "fender"}, {"kind", "panel"}, {"cutouts", Json::array({hole})}},
            Json{{"name", "frame_rail"}, {"kind", "body"}}})},
      {"gaps", Json::array({Json{{"duct", "nose_duct"},
                                 {"core", "radiator"},
                                 {"rim_length", meters(1600)},
                                 {"gap_area", square_meters(1600 * seal_gap)},
                                 {"face_coverage", 1.0},
                                 {"incidence", 0.0}}})}};
  return sample;
}

}  // namespace

std::vector<Sample> front_end_samples() {
  return {front_end("front_end", 0.0), front_end("front_end_rail_moved", 10.0)};
}

}  // namespace corefeed::geometry_samples
