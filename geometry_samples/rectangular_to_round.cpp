// SPDX-License-Identifier: Apache-2.0
// A transition from a rectangle to a circle whose walls are ruled surfaces with a closed form.
//
// Half sides a, b, circle radius r, height H, share s = z / H. The circle is divided at its diagonals, one
// arc to each side. The wall beside x = a joins (a, sqrt(2) b sin(q)) to r (cos(q), sin(q)) by straight
// lines, q from -45 to 45 degrees; the others likewise. A rational surface of degree 2 x 1 whose two rows of
// poles have the same weights (1, cos 45 deg, 1) is exactly that: on the straight side these weights give y
// proportional to sin(q), and since both rows have the same denominator, the height is linear along the
// rulings.
//
// A section is therefore made of four arcs of ellipses: beside x = a the half axes are s r and
// m = (1 - s) sqrt(2) b + s r, centered at x = (1 - s) a. Its area is half the closed integral of P x dP with
// P = (1 - s) R + s C: A(s) = (1 - s)^2 4 a b + s (1 - s) M + s^2 pi r^2 with M the closed integral of R x
// dC, which is sqrt(2) r (a + b) (1 + pi / 2). The arcs' lengths are incomplete elliptic integrals of the
// second kind.
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColStd_Array2OfReal.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TopoDS_Face.hxx>
#include <algorithm>
#include <cmath>
#include <gp_Ax1.hxx>
#include <numbers>
#include <vector>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

constexpr double a = 70.0;
constexpr double b = 35.0;
constexpr double r = 45.0;
constexpr double height = 200.0;
constexpr double pi = std::numbers::pi;
constexpr double sqrt2 = std::numbers::sqrt2;

double area(double share) {
  const double mixed = sqrt2 * r * (a + b) * (1.0 + pi / 2.0);
  const double rest = 1.0 - share;
  return rest * rest * 4.0 * a * b + share * rest * mixed + share * share * pi * r * r;
}

/// Length of the arc beside one side of half length `half_side`.
double arc_length(double half_side, double share) {
  const double minor = share * r;
  const double major = (1.0 - share) * sqrt2 * half_side + share * r;
  const double modulus = std::sqrt(std::max(0.0, 1.0 - minor * minor / (major * major)));
  return 2.0 * major * std::ellint_2(modulus, pi / 4.0);
}

double perimeter(double share) { return 2.0 * (arc_length(a, share) + arc_length(b, share)); }

Handle(Geom_BSplineSurface) wall_from_poles(const TColgp_Array2OfPnt& poles) {
  TColStd_Array2OfReal weights(1, 3, 1, 2);
  weights.Init(1.0);
  weights.SetValue(2, 1, 1.0 / sqrt2);
  weights.SetValue(2, 2, 1.0 / sqrt2);
  TColStd_Array1OfReal knots(1, 2);
  knots.SetValue(1, 0.0);
  knots.SetValue(2, 1.0);
  TColStd_Array1OfInteger along(1, 2);
  along.Init(3);
  TColStd_Array1OfInteger ruling(1, 2);
  ruling.Init(2);
  return new Geom_BSplineSurface(poles, weights, knots, knots, along, ruling, 2, 1);
}

/// The wall whose outward direction is turned by `turn` quarters from +x; `out` is the side's distance from
/// the axis.
Handle(Geom_BSplineSurface) wall(int turn, double out, double half_side) {
  TColgp_Array2OfPnt poles(1, 3, 1, 2);
  for (int i = 0; i < 3; ++i) {
    const double y = i - 1.0;
    // The middle pole of a quarter circle lies where the tangents at its ends meet.
    const double x = i == 1 ? sqrt2 : 1.0 / sqrt2;
    gp_Pnt low(out, y * half_side, 0.0);
    gp_Pnt high(r * x, r * y / sqrt2, height);
    const gp_Ax1 axis(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1));
    poles.SetValue(i + 1, 1, low.Rotated(axis, turn * pi / 2.0));
    poles.SetValue(i + 1, 2, high.Rotated(axis, turn * pi / 2.0));
  }
  return wall_from_poles(poles);
}

TopoDS_Solid solid() {
  std::vector<TopoDS_Face> faces;
  BRepBuilderAPI_MakeWire bottom;
  BRepBuilderAPI_MakeWire top;
  for (int turn = 0; turn < 4; ++turn) {
    const bool beside_x = turn % 2 == 0;
    const Handle(Geom_BSplineSurface) surface = wall(turn, beside_x ? a : b, beside_x ? b : a);
    faces.push_back(BRepBuilderAPI_MakeFace(surface, 1e-7).Face());
    bottom.Add(BRepBuilderAPI_MakeEdge(surface->VIso(0.0)).Edge());
    top.Add(BRepBuilderAPI_MakeEdge(surface->VIso(1.0)).Edge());
  }
  faces.push_back(BRepBuilderAPI_MakeFace(bottom.Wire(), true).Face());
  faces.push_back(BRepBuilderAPI_MakeFace(top.Wire(), true).Face());
  return solid_from_faces(faces);
}

}  // namespace

Sample rectangular_to_round() {
  Truth truth;
  truth.formula =
      "rectangle 2a x 2b = 140 mm x 70 mm ruled to a circle r = 45 mm, H = 200 mm, s = z / H; the line at "
      "angle q "
      "(within 45 deg of the side's middle) joins (a, sqrt(2) b sin q) to r (cos q, sin q): A(s) = (1 - s)^2 "
      "4 a b "
      "+ s (1 - s) sqrt(2) r (a + b) (1 + pi / 2) + s^2 pi r^2, V = H (A(0) + 4 A(1/2) + A(1)) / 6; P(s) = "
      "sum over "
      "the half sides c = a, b of 4 m E(45 deg, k), m = (1 - s) sqrt(2) c + s r, k^2 = 1 - (s r / m)^2, E "
      "the "
      "incomplete elliptic integral of the second kind, evaluated by std::ellint_2";
  truth.volume = height / 6.0 * (area(0.0) + 4.0 * area(0.5) + area(1.0));
  truth.length = height;
  truth.ends.push_back({"from", area(0.0), 4.0 * (a + b), gp_Pnt(0, 0, 0), gp_Dir(0, 0, -1)});
  truth.ends.push_back({"to", area(1.0), 2.0 * pi * r, gp_Pnt(0, 0, height), gp_Dir(0, 0, 1)});
  for (const double share : station_shares)
    truth.stations.push_back(
        {share * height, area(share), perimeter(share), gp_Pnt(0, 0, share * height), gp_Dir(0, 0, 1)});
  return single_part("rectangular_to_round", solid(), std::move(truth));
}

}  // namespace corefeed::geometry_samples
