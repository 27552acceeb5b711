// SPDX-License-Identifier: Apache-2.0
// Shapes whose every number is known in closed form, to test measuring code with.
#include <cmath>
#include <gp_Ax1.hxx>
#include <gp_Ax2.hxx>
#include <gp_Vec.hxx>
#include <numbers>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

/// At the origin, flow along +x, width along y, height along z.
gp_Ax2 origin_frame() { return gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), gp_Dir(0, 1, 0)); }

Section round_section(double diameter) { return {true, diameter, diameter}; }

Sample straight_round() {
  DuctChain chain(origin_frame(), round_section(80.0));
  chain.straight(400.0);
  return single_part("straight_round", chain.solid(),
                     chain.truth("cylinder D = 80 mm, L = 400 mm: A = pi D^2 / 4, P = pi D, V = A L"));
}

Sample straight_rectangular() {
  DuctChain chain(origin_frame(), {false, 120.0, 60.0});
  chain.straight(500.0);
  return single_part(
      "straight_rectangular", chain.solid(),
      chain.truth("box 120 mm x 60 mm x 500 mm: A = w h, P = 2 (w + h), D_h = 4 A / P, V = A L"));
}

Sample bend_90() {
  // The width points away from the bend, where a torus has its seam, so that the seams of all pieces meet.
  const gp_Ax2 frame(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), gp_Dir(0, -1, 0));
  DuctChain chain(frame, round_section(60.0));
  chain.straight(150.0);
  chain.bend(90.0 * degree, 90.0, gp_Dir(0, 1, 0));
  chain.straight(150.0);
  return single_part(
      "bend_90", chain.solid(),
      chain.truth("round D = 60 mm, bend of 90 deg with center line radius R = 90 mm between "
                  "straights of 150 mm: length = 2 x 150 mm + R pi / 2, V = A length (Pappus)"));
}

Sample cone_7deg() {
  constexpr double length = 300.0;
  constexpr double half_angle = 3.5 * degree;
  const double outlet = 60.0 + 2.0 * length * std::tan(half_angle);
  DuctChain chain(origin_frame(), round_section(60.0));
  chain.widen(length, outlet, outlet);
  Truth truth = chain.truth(
      "cone, D1 = 60 mm, wall half angle 3.5 deg, L = 300 mm: D(x) = D1 + 2 x tan(3.5 deg), "
      "A = pi D^2 / 4, P = pi D, V = pi L (D1^2 + D1 D2 + D2^2) / 12; cone_angle is the total angle");
  truth.cone_angle = 2.0 * half_angle;
  return single_part("cone_7deg", chain.solid(), std::move(truth));
}

Sample s_duct() {
  const gp_Ax2 frame(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0), gp_Dir(0, 0, -1));
  DuctChain chain(frame, round_section(70.0));
  chain.straight(60.0);
  chain.bend(45.0 * degree, 140.0, gp_Dir(0, 0, 1));
  chain.straight(60.0);
  // The first bend has carried the frame's width along; the second one turns to the other side.
  chain.bend(45.0 * degree, 140.0, chain.frame().XDirection());
  chain.straight(60.0);
  return single_part(
      "s_duct", chain.solid(),
      chain.truth("round D = 70 mm, two opposite bends of 45 deg with R = 140 mm, straights of 60 "
                  "mm before, between and behind: length = 3 x 60 mm + 2 R pi / 4, V = A length"));
}

Sample renamed(Sample sample, const std::string& name) {
  sample.name = name;
  return sample;
}

Sample in_unit(Sample sample, const std::string& name, LengthUnit unit) {
  sample.name = name;
  sample.unit = unit;
  return sample;
}

gp_Trsf turned_and_moved() {
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(1, 2, 3)), 37.0 * degree);
  gp_Trsf move;
  move.SetTranslation(gp_Vec(1250.0, -340.0, 415.0));
  return move * turn;
}

}  // namespace

std::vector<Sample> plain_samples() {
  return {straight_round(),
          renamed(with_port_bodies(straight_round(), "straight_round_ports", "test_duct"),
                  "straight_round_ports"),
          straight_rectangular(),
          renamed(with_port_faces(straight_rectangular(), "test_duct"), "straight_rectangular_named"),
          in_unit(straight_rectangular(), "straight_rectangular_inch", LengthUnit::inch),
          in_unit(straight_rectangular(), "straight_rectangular_metre", LengthUnit::meter),
          bend_90(),
          renamed(placed(bend_90(), "bend_90_placed", turned_and_moved()), "bend_90_placed"),
          cone_7deg(),
          s_duct()};
}

}  // namespace corefeed::geometry_samples
