// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <gp_Vec.hxx>
#include <numbers>
#include <optional>

/// How the skin of a solid turns at its edges.
namespace corefeed::geometry {

/// From here on an edge is sharp (rad): 30 degrees.
inline constexpr double sharp_angle = std::numbers::pi / 6;

using FacesOfEdge = TopTools_IndexedDataMapOfShapeListOfShape;

/// Unit normal of an oriented face at a point of one of its edges; nothing at a pole or without a curve on
/// it.
std::optional<gp_Vec> outward_normal(const TopoDS_Edge& edge, const TopoDS_Face& face, double parameter);

/// The one other face at an edge; null where the edge is open, a seam or shared by three.
TopoDS_Face face_across(const TopTools_ListOfShape& faces, const TopoDS_Face& from);

/// Range of the angles (rad, -pi to pi) by which the skin turns from `face` to `wall` along `edge`: positive
/// where it is convex, as at the corner of a box seen from outside. The edge must be oriented as the face
/// uses it.
struct EdgeAngle {
  double least = std::numbers::pi;
  double most = -std::numbers::pi;
  bool sharp_convex() const { return least > sharp_angle; }
};
EdgeAngle edge_angle(const TopoDS_Edge& edge, const TopoDS_Face& face, const TopoDS_Face& wall);

}  // namespace corefeed::geometry
