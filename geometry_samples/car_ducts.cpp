// SPDX-License-Identifier: Apache-2.0
// The cooling ducts of a hill-climb car that exists nowhere. x points to the rear, y to the right, z up.
#include <gp_Ax2.hxx>
#include <numbers>
#include <string>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
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

Sample nose_duct(const std::string& name, bool narrow) {
  DuctChain chain(gp_Ax2(gp_Pnt(0, 0, 180), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)),
                  {false, nose_width, nose_height});
  constexpr double throat_area = 160e2;
  if (narrow)
    chain.pinch(nose_straight, throat_area / nose_width);
  else
    chain.straight(nose_straight);
  chain.bend(25.0 * degree, 300.0, gp_Dir(0, 0, 1));
  chain.widen(350.0, 500.0, 300.0);
  chain.straight(20.0);

  const std::string first = narrow ? "mouth 300 mm x 140 mm; pinch over 260 mm, h(t) = 140 mm - (140 - "
                                     "160/3) mm 16 t^2 (1 - t)^2, V = w L "
                                     "(140 mm - 8/15 (140 - 160/3) mm); "
                                   : "mouth 300 mm x 140 mm; straight of 260 mm; ";
  Truth truth = chain.truth(first + nose_rest);
  if (narrow) truth.narrowest = Narrowest{nose_straight / 2.0, throat_area};
  // The narrow duct stands in for the other one in the same car: same product and port names.
  Sample sample = with_port_bodies(single_part("nose_duct", chain.solid(), std::move(truth)),
                                   "hill_climb_car", "nose_duct");
  sample.name = name;
  return sample;
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
  return {nose_duct("nose_duct", false), nose_duct("nose_duct_narrow", true), flank_duct()};
}

}  // namespace corefeed::geometry_samples
