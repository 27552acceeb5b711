// SPDX-License-Identifier: Apache-2.0
// Ducts with more than two ends.
#include <BRepAlgoAPI_Fuse.hxx>
#include <cmath>
#include <numbers>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double pi = std::numbers::pi;

Json round_end(const std::string& name, double diameter) {
  return {{"name", name},
          {"area", square_meters(pi * diameter * diameter / 4)},
          {"perimeter", meters(pi * diameter)}};
}

/// A pipe of 80 mm and 200 mm length that parts into two of 60 mm and 200 mm, 30 degrees to either side.
Sample y_duct() {
  constexpr double angle = pi / 6;
  constexpr double radius = 30.0;
  constexpr double arm = 200.0;
  const gp_Pnt knot(200, 0, 0);
  const gp_Dir left(std::cos(angle), std::sin(angle), 0);
  const gp_Dir right(std::cos(angle), -std::sin(angle), 0);
  const TopoDS_Solid solid = join({cylinder(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), 40, 200),
                                   cylinder(knot, left, radius, arm), cylinder(knot, right, radius, arm)});
  const auto face_at = [&solid](const gp_Pnt& center, const gp_Dir& normal) {
    End end;
    end.center = center;
    end.normal = normal;
    return end_face(solid, end);
  };
  const auto tip = [&](const gp_Dir& along) { return knot.Translated(gp_Vec(along) * arm); };
  Sample sample;
  sample.name = "y_duct";
  sample.bodies = {{"y_duct",
                    solid,
                    gp_Trsf(),
                    {{"port:feed.from", face_at(gp_Pnt(0, 0, 0), gp_Dir(-1, 0, 0))},
                     {"port:left.to", face_at(tip(left), left)},
                     {"port:right.to", face_at(tip(right), right)}},
                    "",
                    std::nullopt}};
  sample.truth.formula =
      "the arms part at r / sin(a) behind the point where the axes meet: common length 200 mm + r / sin(a), "
      "step r "
      "to the arm's first section at r / tan(a), rest of the arm 200 mm - r / tan(a)";
  const double length = 200 + radius / std::sin(angle) + radius + arm - radius / std::tan(angle);
  const auto path = [&](const std::string& to) {
    return Json{{"from", "feed.from"}, {"to", to}, {"length", meters(length)}};
  };
  sample.expected["parts"] = Json::array(
      {Json{{"name", "y_duct"},
            {"kind", "flow volume"},
            {"openings",
             Json::array({round_end("feed.from", 80), round_end("left.to", 60), round_end("right.to", 60)})},
            {"paths", Json::array({path("left.to"), path("right.to")})}}});
  return sample;
}

/// A trunk of 100 mm x 60 mm and 500 mm length that two branches of 40 mm x 40 mm leave sideways for 150 mm,
/// 150 mm and 300 mm from its mouth.
Sample manifold_duct() {
  constexpr double branch = 40.0;
  const TopoDS_Solid solid =
      join({box(gp_Pnt(0, -50, -30), gp_Pnt(500, 50, 30)), box(gp_Pnt(150, 50, -20), gp_Pnt(190, 200, 20)),
            box(gp_Pnt(300, 50, -20), gp_Pnt(340, 200, 20))});
  const auto face_at = [&solid](const gp_Pnt& center, const gp_Dir& normal) {
    End end;
    end.center = center;
    end.normal = normal;
    return end_face(solid, end);
  };
  Sample sample;
  sample.name = "manifold_duct";
  sample.bodies = {{"manifold_duct",
                    solid,
                    gp_Trsf(),
                    {{"port:feed.from", face_at(gp_Pnt(0, 0, 0), gp_Dir(-1, 0, 0))},
                     {"port:straight.to", face_at(gp_Pnt(500, 0, 0), gp_Dir(1, 0, 0))},
                     {"port:first.to", face_at(gp_Pnt(170, 200, 0), gp_Dir(0, 1, 0))},
                     {"port:second.to", face_at(gp_Pnt(320, 200, 0), gp_Dir(0, 1, 0))}},
                    "",
                    500.0 * 100.0 * 60.0 + 2 * branch * branch * 150.0}};
  sample.truth.formula =
      "straight on 500 mm; to a branch: along the trunk to the near side of its mouth (150 mm, 300 mm), "
      "straight to "
      "the middle of the mouth (20 mm on, 50 mm aside), 150 mm along the branch";
  const auto end = [](const std::string& name, double area, double perimeter) {
    return Json{{"name", name}, {"area", square_meters(area)}, {"perimeter", meters(perimeter)}};
  };
  const auto path = [](const std::string& to, double length) {
    return Json{{"from", "feed.from"}, {"to", to}, {"length", meters(length)}};
  };
  const double aside = std::hypot(branch / 2, 50.0) + 150.0;
  sample.expected["parts"] =
      Json::array({Json{{"name", "manifold_duct"},
                        {"kind", "flow volume"},
                        {"volume", *sample.bodies[0].solid_volume / 1e9},
                        {"openings", Json::array({end("feed.from", 6000, 320), end("straight.to", 6000, 320),
                                                  end("first.to", 1600, 160), end("second.to", 1600, 160)})},
                        {"paths", Json::array({path("straight.to", 500), path("first.to", 150 + aside),
                                               path("second.to", 300 + aside)})}}});
  return sample;
}

}  // namespace

std::vector<Sample> branched_samples() { return {y_duct(), manifold_duct()}; }

}  // namespace corefeed::geometry_samples
