// SPDX-License-Identifier: Apache-2.0
// A duct with free-form walls whose sections are known all the same.
//
// The center line C(t) is a plane cubic. Across it stand N(t), its derivative turned by 90 degrees and so of
// length g(t) = |C'(t)|, and B, square to the plane. The wall is C + a(t) X(u) N + b(t) Y(u) B with a linear,
// b cubic and (X, Y) a closed curve of four cubic arcs round the origin: polynomials of third degree both
// ways, which a spline surface holds exactly. The section square to the center line at t is the curve
// stretched by a g and b, so that its area is a b g times that of the curve and its center of area lies on C.
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <GeomConvert.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Geom_BezierSurface.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <array>
#include <cmath>
#include <gp_Ax1.hxx>
#include <gp_Vec.hxx>
#include <numbers>
#include <vector>

#include "geometry_samples/duct_chain.hpp"
#include "geometry_samples/sample.hpp"
#include "geometry_samples/scene.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {
namespace {

/// A point or vector of the center line's plane.
struct Plane {
  double x = 0;
  double z = 0;
};

Plane operator*(double factor, const Plane& p) { return {factor * p.x, factor * p.z}; }
Plane operator+(const Plane& p, const Plane& q) { return {p.x + q.x, p.z + q.z}; }
Plane operator-(const Plane& p, const Plane& q) { return {p.x - q.x, p.z - q.z}; }

// Bezier coefficients of C, a and b.
constexpr std::array<Plane, 4> line{{{0, 0}, {160, 0}, {300, 40}, {440, 140}}};
constexpr std::array<double, 2> across{0.094, 0.155};
constexpr std::array<double, 4> height{60, 60, 90, 100};
/// Of one quarter of the curve (X, Y): nearer to a rectangle than an ellipse is.
constexpr std::array<double, 4> quarter{1, 1, 0.75, 0};

double bezier(const std::array<double, 4>& c, double t) {
  const double s = 1 - t;
  return s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3];
}

double slope(const std::array<double, 4>& c, double t) {
  const double s = 1 - t;
  return 3 * (s * s * (c[1] - c[0]) + 2 * s * t * (c[2] - c[1]) + t * t * (c[3] - c[2]));
}

constexpr std::array<double, 4> reversed(const std::array<double, 4>& c) { return {c[3], c[2], c[1], c[0]}; }

Plane position(double t) {
  return {bezier({line[0].x, line[1].x, line[2].x, line[3].x}, t),
          bezier({line[0].z, line[1].z, line[2].z, line[3].z}, t)};
}

Plane derivative(double t) {
  return {slope({line[0].x, line[1].x, line[2].x, line[3].x}, t),
          slope({line[0].z, line[1].z, line[2].z, line[3].z}, t)};
}

double stretch(double t) {
  const Plane d = derivative(t);
  return std::hypot(d.x, d.z);
}

double half_width(double t) { return ((1 - t) * across[0] + t * across[1]) * stretch(t); }
double half_height(double t) { return bezier(height, t); }

/// Of the curve (X, Y).
double curve_area() {
  return 4 * integral(
                 [](double u) {
                   return 0.5 * (bezier(quarter, u) * slope(reversed(quarter), u) -
                                 bezier(reversed(quarter), u) * slope(quarter, u));
                 },
                 0, 1);
}

double area(double t) { return curve_area() * half_width(t) * half_height(t); }

double perimeter(double t) {
  const double a = half_width(t);
  const double b = half_height(t);
  return 4 *
         integral(
             [a, b](double u) { return std::hypot(a * slope(quarter, u), b * slope(reversed(quarter), u)); },
             0, 1);
}

double length_to(double t) { return integral(stretch, 0, t); }

double parameter_at(double distance) {
  double low = 0;
  double high = 1;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (length_to(middle) < distance ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

gp_Pnt center(double t) {
  const Plane p = position(t);
  return {p.x, 0, p.z};
}

gp_Dir tangent(double t) {
  const Plane d = derivative(t);
  return {d.x, 0, d.z};
}

/// Bezier coefficients of a(t) N(t): a linear function times a quadratic one.
std::array<Plane, 4> scaled_normals() {
  std::array<Plane, 3> n;
  for (std::size_t i = 0; i < 3; ++i) {
    const Plane d = 3 * (line[i + 1] - line[i]);
    n[i] = {-d.z, d.x};
  }
  return {across[0] * n[0], 1.0 / 3 * (2 * across[0] * n[1] + across[1] * n[0]),
          1.0 / 3 * (across[0] * n[2] + 2 * across[1] * n[1]), across[1] * n[2]};
}

/// The wall over one quarter of the curve; `x` and `y` are the quarter's coefficients.
Handle(Geom_BSplineSurface) wall(const std::array<double, 4>& x, const std::array<double, 4>& y) {
  const std::array<Plane, 4> normals = scaled_normals();
  TColgp_Array2OfPnt poles(1, 4, 1, 4);
  for (std::size_t i = 0; i < 4; ++i) {
    for (std::size_t k = 0; k < 4; ++k) {
      const Plane p = line[k] + x[i] * normals[k];
      poles.SetValue(static_cast<int>(i) + 1, static_cast<int>(k) + 1, gp_Pnt(p.x, y[i] * height[k], p.z));
    }
  }
  return GeomConvert::SurfaceToBSplineSurface(new Geom_BezierSurface(poles));
}

constexpr std::array<double, 4> negated(const std::array<double, 4>& c) {
  return {-c[0], -c[1], -c[2], -c[3]};
}

TopoDS_Solid solid() {
  constexpr std::array<double, 4> down = quarter;
  constexpr std::array<double, 4> up = reversed(quarter);
  const std::array<std::pair<std::array<double, 4>, std::array<double, 4>>, 4> quarters{
      {{down, up}, {negated(up), down}, {negated(down), negated(up)}, {up, negated(down)}}};
  std::vector<TopoDS_Face> faces;
  BRepBuilderAPI_MakeWire first;
  BRepBuilderAPI_MakeWire last;
  for (const auto& [x, y] : quarters) {
    const Handle(Geom_BSplineSurface) surface = wall(x, y);
    faces.push_back(BRepBuilderAPI_MakeFace(surface, 1e-7).Face());
    first.Add(BRepBuilderAPI_MakeEdge(surface->VIso(0.0)).Edge());
    last.Add(BRepBuilderAPI_MakeEdge(surface->VIso(1.0)).Edge());
  }
  faces.push_back(BRepBuilderAPI_MakeFace(first.Wire(), true).Face());
  faces.push_back(BRepBuilderAPI_MakeFace(last.Wire(), true).Face());
  return solid_from_faces(faces);
}

Sample free_form_duct() {
  Truth truth;
  truth.formula =
      "center line: cubic with the poles (0, 0), (160, 0), (300, 40), (440, 140) mm in the plane of x and z; "
      "walls C + a X N + b Y B as in free_form.cpp; A = a b g A0, P and length by Gauss quadrature, V = "
      "integral of A along the center line (Pappus)";
  truth.free_form = true;
  truth.length = length_to(1);
  truth.volume =
      curve_area() * integral([](double t) { return half_width(t) * half_height(t) * stretch(t); }, 0, 1);
  truth.ends.push_back({"from", area(0), perimeter(0), center(0), tangent(0).Reversed()});
  truth.ends.push_back({"to", area(1), perimeter(1), center(1), tangent(1)});
  for (const double share : station_shares) {
    const double t = parameter_at(share * truth.length);
    truth.stations.push_back({share * truth.length, area(t), perimeter(t), center(t), tangent(t)});
  }
  return single_part("free_form_duct", solid(), std::move(truth));
}

/// 90 m from the origin, as a part of a building's model would be.
gp_Trsf far_away() {
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(-2, 1, 0.7)), 2.1);
  gp_Trsf shift;
  shift.SetTranslation(gp_Vec(70000.0, -55000.0, 12000.0));
  return shift * turn;
}

}  // namespace

std::vector<Sample> free_form_samples() {
  Sample far = placed(free_form_duct(), "free_form_duct_far", far_away());
  far.name = "free_form_duct_far";
  return {free_form_duct(), far};
}

}  // namespace corefeed::geometry_samples
