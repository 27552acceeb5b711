// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <TopoDS_Wire.hxx>
#include <optional>
#include <vector>

#include "cad_bridge/geometry/wall_mesh.hpp"

/// Holes through a solid, found by the way its skin turns: bolt holes, cut-outs of a panel, the passage of a
/// sheet duct. Lengths in mm; faces by index, from 1, in the order of `TopExp::MapShapes`.
namespace corefeed::geometry {

/// Where a hole begins: a closed curve of sharp convex edges round which the skin dives into the solid.
struct Mouth {
  std::vector<TopoDS_Edge> edges;  ///< in order, as the faces around the hole use them
  std::vector<int> skin;           ///< the face around the hole at each edge
  int patch = 0;                   ///< lowest face of the smooth stretch of skin around; tells sides apart
  double length = 0;
  Vec3 center = Vec3::Zero();       ///< of the curve's length
  Vec3 vector_area = Vec3::Zero();  ///< out of the solid
  Vec3 normal = Vec3::Zero();       ///< mean of the faces around, unit, out of the solid
};

/// A hole: its walls and the mouths that bound them.
struct Channel {
  std::vector<int> walls;
  std::vector<Mouth> mouths;  ///< two or more, the largest first

  double length() const { return (mouths[1].center - mouths[0].center).norm(); }
  double diameter() const { return 4 * mouths[0].vector_area.norm() / mouths[0].length; }  ///< hydraulic
};

/// The through holes of a solid that is oriented outward, in the order of their first wall.
std::vector<Channel> find_channels(const TopoDS_Shape& solid);

/// The mouth's edges as a closed wire, running as they are stored.
TopoDS_Wire wire_of(const Mouth& mouth);

/// The skin continued across the mouth: the surface of the face around it, bounded by the mouth alone; a
/// plane where several faces around lie in one. Nothing where neither is so. Its side is arbitrary.
std::optional<TopoDS_Face> continued_skin(const Mouth& mouth, const TopoDS_Shape& solid);

/// Length, center and vector area of a closed chain of edges, by Gauss' rule along the true curves. The
/// vector area is right-handed to the direction in which the chain runs.
struct LoopIntegrals {
  double length = 0;
  Vec3 center = Vec3::Zero();
  Vec3 vector_area = Vec3::Zero();
};
LoopIntegrals integrate_loop(const std::vector<TopoDS_Edge>& edges);

}  // namespace corefeed::geometry
