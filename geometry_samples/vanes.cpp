// SPDX-License-Identifier: Apache-2.0
// Bends with splitter vanes.
#include <cmath>
#include <numbers>
#include <vector>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double radius = 200.0;
constexpr double width = 150.0;  // in the plane of the bend
constexpr double height = 90.0;
constexpr double leg = 120.0;
constexpr double angle = std::numbers::pi / 3;
constexpr double vane = 2.0;    // thickness
constexpr double aside = 25.0;  // of the middle of a vane from the center line

/// What lies between the cylinders `inner` and `outer` round the bend's axis, from 10 to 50 degrees of it.
TopoDS_Shape vane_between(double inner, double outer) {
  constexpr double from = std::numbers::pi / 18;
  const gp_Pnt pivot(leg, radius, 0);
  DuctChain chain(gp_Ax2(gp_Pnt(leg, radius - 0.5 * (inner + outer), 0), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)),
                  {false, outer - inner, height + 20});
  chain.bend(angle - 2 * from, 0.5 * (inner + outer), gp_Dir(0, 1, 0));
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(pivot, gp_Dir(0, 0, 1)), from);
  return chain.solid().Moved(TopLoc_Location(turn));
}

/// A rectangular bend of 60 degrees between straights, with two vanes in parallel to its walls.
Sample vaned_bend() {
  DuctChain chain(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)), {false, width, height});
  chain.straight(leg);
  chain.bend(angle, radius, gp_Dir(0, 1, 0));
  chain.straight(leg);
  const TopoDS_Shape air =
      cut(chain.solid(), {vane_between(radius - aside - vane / 2, radius - aside + vane / 2),
                          vane_between(radius + aside - vane / 2, radius + aside + vane / 2)});
  const double area = width * height;
  const double length = 2 * leg + radius * angle;
  // Pappus: together the two vanes travel as their common middle on the center line does.
  const double volume = area * length - 2 * vane * height * radius * angle * 2 / 3;
  Sample sample;
  sample.name = "vaned_bend";
  sample.bodies = {{"vaned_bend", air, gp_Trsf(), {}, "", volume}};
  sample.truth.formula =
      "w x h, straights of 120 mm, 60 deg of R = 200 mm; two vanes t thick at R - 25 mm and R + 25 mm over "
      "40 deg: "
      "between them A = (w - 2 t) h, P = 2 (w - 2 t) + 6 h; length 240 mm + R pi / 3, V = A length - 2 t h R "
      "2 pi "
      "/ 9 (Pappus)";
  const Json end = {{"area", square_meters(area)}, {"perimeter", meters(2 * (width + height))}};
  const double free = (width - 2 * vane) * height;
  const Json between = {{"area", square_meters(free)},
                        {"perimeter", meters(2 * (width - 2 * vane) + 6 * height)},
                        {"loops", 3}};
  const Json path = {{"length", meters(length)},
                     {"narrowest", {{"area", square_meters(free)}}},
                     {"stations", Json::array({end, between, end})}};
  sample.expected["parts"] = Json::array({Json{{"name", "vaned_bend"},
                                               {"kind", "flow volume"},
                                               {"volume", volume / 1e9},
                                               {"openings", Json::array({end, end})},
                                               {"paths", Json::array({path})}}});
  return sample;
}

}  // namespace

std::vector<Sample> vaned_samples() { return {vaned_bend()}; }

}  // namespace corefeed::geometry_samples
