// SPDX-License-Identifier: Apache-2.0
// The cooling ducts of a hill-climb car that exists nowhere. x points to the rear, y to the right, z up.
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <gp_Ax2.hxx>
#include <numbers>
#include <string>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double nose_straight = 260.0;
constexpr double nose_height = 140.0;
constexpr double nose_width = 300.0;

const std::string nose_rest =
    "bend of 25 deg, R = 300 mm, in the plane of the height; frustum to 500 mm x 300 mm over 350 mm, A(t) = "
    "(300 + "
    "200 t) (140 + 160 t) mm2; straight of 20 mm; P = 2 (w + h), V = sum of A L, A R angle and Simpson's "
    "rule (exact)";

DuctChain nose_mouth() {
  return DuctChain(gp_Ax2(gp_Pnt(0, 0, 180), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)),
                   {false, nose_width, nose_height});
}

void add_rest(DuctChain& chain) {
  chain.bend(25.0 * degree, 300.0, gp_Dir(0, 0, 1));
  chain.widen(350.0, 500.0, 300.0);
  chain.straight(20.0);
}

/// Every version stands in for the others in the same car: same product and port names.
Sample nose_version(const std::string& name, const TopoDS_Solid& solid, Truth truth) {
  Sample sample =
      with_port_bodies(single_part("nose_duct", solid, std::move(truth)), "hill_climb_car", "nose_duct");
  sample.name = name;
  return sample;
}

Truth nose_truth(const DuctChain& chain) {
  return chain.truth("mouth 300 mm x 140 mm; straight of 260 mm; " + nose_rest);
}

Sample nose_duct() {
  DuctChain chain = nose_mouth();
  chain.straight(nose_straight);
  add_rest(chain);
  return nose_version("nose_duct", chain.solid(), nose_truth(chain));
}

/// Pinched half way along the first straight.
Sample nose_duct_pinched(const std::string& name, double throat_area, const std::string& throat) {
  DuctChain chain = nose_mouth();
  chain.pinch(nose_straight, throat_area / nose_width);
  add_rest(chain);
  Truth truth = chain.truth(
      "mouth 300 mm x 140 mm; pinch over 260 mm, h(t) = 140 mm - (140 - T) mm 16 t^2 (1 - t)^2, V = w L (140 "
      "mm - "
      "8/15 (140 - T) mm), T = " +
      throat + " mm; " + nose_rest);
  truth.narrowest = Narrowest{nose_straight / 2.0, throat_area};
  return nose_version(name, chain.solid(), std::move(truth));
}

/// A rib 12 mm wide and 12 mm high across the floor of the first straight.
Sample nose_duct_ribbed() {
  constexpr double rib = 12.0;
  constexpr double from = 120.0;
  DuctChain chain = nose_mouth();
  chain.straight(nose_straight);
  add_rest(chain);
  const double floor = 180.0 - nose_height / 2;
  const TopoDS_Shape solid =
      cut(chain.solid(),
          {box(gp_Pnt(from, -nose_width / 2, floor), gp_Pnt(from + rib, nose_width / 2, floor + rib))});
  Truth truth = nose_truth(chain);
  truth.formula += "; a rib of 12 mm x 12 mm across the floor from 120 mm on: V less 300 x 12 x 12 mm3";
  truth.volume -= nose_width * rib * rib;
  truth.narrowest = Narrowest{from + rib / 2, nose_width * (nose_height - rib)};
  return nose_version("nose_duct_ribbed", join({solid}), std::move(truth));
}

/// A section of the first straight without the triangle of 8 mm x 8 mm at one corner.
template <class Part>
void take_corner(Part& part, double leg) {
  const double triangle = leg * leg / 2;
  const gp_XYZ middle(part.center.X(), -nose_width / 2 + leg / 3, 180.0 - nose_height / 2 + leg / 3);
  part.center = gp_Pnt((part.center.XYZ() * part.area - middle * triangle) / (part.area - triangle));
  part.area -= triangle;
  part.perimeter -= (2 - std::numbers::sqrt2) * leg;
}

/// One lower edge of the first straight, mouth included, chamfered by 8 mm.
Sample nose_duct_chamfered() {
  constexpr double leg = 8.0;
  DuctChain chain = nose_mouth();
  chain.straight(nose_straight);
  add_rest(chain);
  const double y = -nose_width / 2;
  const double z = 180.0 - nose_height / 2;
  BRepBuilderAPI_MakePolygon triangle(gp_Pnt(0, y, z), gp_Pnt(0, y + leg, z), gp_Pnt(0, y, z + leg), true);
  const TopoDS_Shape corner =
      BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(triangle.Wire()).Face(), gp_Vec(nose_straight, 0, 0))
          .Shape();
  Truth truth = nose_truth(chain);
  truth.formula +=
      "; a chamfer of 8 mm along one lower edge of the first straight: there A less 32 mm2, P less (2 - "
      "sqrt(2)) 8 mm, V less 32 x 260 mm3";
  truth.volume -= leg * leg / 2 * nose_straight;
  take_corner(truth.ends.front(), leg);
  for (Station& station : truth.stations) {
    if (station.distance < nose_straight) take_corner(station, leg);
  }
  return nose_version("nose_duct_chamfered", join({cut(chain.solid(), {corner})}), std::move(truth));
}

Sample flank_duct() {
  DuctChain chain(gp_Ax2(gp_Pnt(1850, 640, 420), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)), {false, 75.0, 120.0});
  chain.straight(80.0);
  chain.bend(40.0 * degree, 150.0, gp_Dir(0, -1, 0));
  chain.widen(240.0, 150.0, 200.0);
  chain.straight(15.0);
  return with_port_bodies(
      single_part(
          "flank_duct", chain.solid(),
          chain.truth("mouth 75 mm x 120 mm; straight of 80 mm; bend of 40 deg, R = 150 mm, in the plane of "
                      "the width; frustum to 150 mm x 200 mm over 240 mm, A(t) = (75 + 75 t) (120 + 80 t) "
                      "mm2; straight of 15 mm; P = 2 (w + h), V = sum of A L, A R angle and Simpson's rule "
                      "(exact)")),
      "hill_climb_car", "flank_duct");
}

}  // namespace

std::vector<Sample> car_samples() {
  return {nose_duct(),
          nose_duct_pinched("nose_duct_narrow", 160e2, "160 / 3"),
          nose_duct_pinched("nose_duct_wider", 200e2, "200 / 3"),
          nose_duct_ribbed(),
          nose_duct_chamfered(),
          flank_duct()};
}

}  // namespace corefeed::geometry_samples
