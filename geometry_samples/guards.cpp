// SPDX-License-Identifier: Apache-2.0
// A duct's mouth behind a stone guard.
#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

/// Air 200 mm x 100 mm x 300 mm; 15 mm before its mouth a mesh, drawn as a plate of 1 mm that covers the
/// mouth, and 40 mm before it a tow hook's bracket that covers 50 mm of its width.
Sample guarded_mouth() {
  const TopoDS_Shape air = box(gp_Pnt(0, 0, 0), gp_Pnt(300, 200, 100));
  const auto face = [&air](double x, double direction) {
    End end;
    end.center = gp_Pnt(x, 100, 50);
    end.normal = gp_Dir(direction, 0, 0);
    return end_face(air, end);
  };
  Sample sample;
  sample.name = "guarded_mouth";
  sample.assembly = "nose";
  sample.bodies = {{"brake_air",
                    air,
                    gp_Trsf(),
                    {{"port:brake_duct.from", face(0, -1)}, {"port:brake_duct.to", face(300, 1)}},
                    "",
                    300.0 * 200.0 * 100.0},
                   {"stone_guard_mesh",
                    box(gp_Pnt(-16, -20, -20), gp_Pnt(-15, 220, 120)),
                    gp_Trsf(),
                    {},
                    "",
                    240.0 * 140.0},
                   {"hook_bracket",
                    box(gp_Pnt(-60, -30, -30), gp_Pnt(-40, 50, 130)),
                    gp_Trsf(),
                    {},
                    "",
                    20.0 * 80.0 * 160.0}};
  sample.truth.formula =
      "A = w h, P = 2 (w + h); the bracket covers 50 mm of 200 mm, outline 2 (50 mm + h), all of it open; "
      "the mesh "
      "is told by its name and does not count";
  const auto opening = [](const std::string& name, double share, const Json& blocked_by) {
    return Json{{"name", name},
                {"area", square_meters(20000)},
                {"perimeter", meters(600)},
                {"hydraulic_diameter", meters(4 * 20000.0 / 600)},
                {"free_area", square_meters(20000 * (1 - share))},
                {"blocked_by", blocked_by}};
  };
  sample.expected["parts"] = Json::array(
      {Json{{"name", "brake_air"},
            {"kind", "flow volume"},
            {"volume", 300.0 * 200.0 * 100.0 / 1e9},
            {"openings", Json::array({opening("brake_duct.from", 0.25,
                                              Json::array({blocker("hook_bracket", 40, 0.25, 300)})),
                                      opening("brake_duct.to", 0, Json::array())})}},
       Json{{"name", "stone_guard_mesh"}, {"kind", "body"}},
       Json{{"name", "hook_bracket"}, {"kind", "body"}}});
  sample.expected["warnings"] = Json::array({Json{{"code", "mesh_before_opening"}}});
  return sample;
}

}  // namespace

std::vector<Sample> guarded_samples() { return {guarded_mouth()}; }

}  // namespace corefeed::geometry_samples
