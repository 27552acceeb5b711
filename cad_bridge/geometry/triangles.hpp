// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <array>
#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"

/// Shapes as plain triangles and curves as plain points, for looking at them from a distance. Lengths in mm.
namespace corefeed::geometry {

using Triangle = std::array<Vec3, 3>;

/// The faces of a shape, triangulated to 2e-4 of its diagonal and 0.1 rad: a pipe's silhouette is then good
/// to 0.13 % of its radius. Faces that the kernel cannot triangulate are left out.
std::vector<Triangle> triangles_of(const TopoDS_Shape& shape);

/// Points along a chain of edges, in order and direction; straight edges give their start alone.
std::vector<Vec3> points_of(const std::vector<TopoDS_Edge>& edges);

/// The loops of a face, each as points.
std::vector<std::vector<Vec3>> outlines_of(const TopoDS_Face& face);

/// Distance from a point to the nearest of the triangles; infinite for none.
double distance_to(const std::vector<Triangle>& triangles, const Vec3& point);

}  // namespace corefeed::geometry
