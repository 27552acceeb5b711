// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <array>
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "cad_bridge/geometry/passage.hpp"
#include "corefeed/result.hpp"

/// The skin of a passage as triangles that remember where they came from: each knows its face and the surface
/// parameters of its corners, and each mesh edge on an edge of the solid knows its curve. So a point found on
/// the mesh can always be put back on the true shape. Lengths in mm.
namespace corefeed::geometry {

using Vec2 = Eigen::Vector2d;
using Vec3 = Eigen::Vector3d;

struct WallFace {
  Handle(BRepAdaptor_Surface) surface;
  bool flat = false;
  int opening = -1;  ///< index of the opening whose end face this is, -1 for a wall
};

struct WallTriangle {
  std::array<int, 3> corners{};  ///< counterclockwise as seen from outside the passage
  std::array<Vec2, 3> uv;        ///< of the corners on the face's surface
  int face = 0;
};

/// The stretch of a true curve between the ends of a mesh edge.
struct CurveStretch {
  int curve = 0;
  double low = 0;   ///< parameter at the end with the lower vertex index
  double high = 0;  ///< parameter at the other end
};

struct WallMesh {
  std::vector<Vec3> points;
  std::vector<WallTriangle> triangles;  ///< walls and end faces: a closed skin
  std::vector<WallFace> faces;
  std::vector<Handle(BRepAdaptor_Curve)> curves;
  std::unordered_map<std::uint64_t, CurveStretch> stretches;  ///< by `edge_key`
  double diagonal = 0;                                        ///< of the bounding box

  bool on_opening(int triangle, int opening) const {
    const int face = triangles[static_cast<std::size_t>(triangle)].face;
    return faces[static_cast<std::size_t>(face)].opening == opening;
  }

  /// Twice the vector area of a triangle, out of the passage.
  Vec3 triangle_normal(int triangle) const {
    const auto& c = triangles[static_cast<std::size_t>(triangle)].corners;
    const Vec3& tip = points[static_cast<std::size_t>(c[0])];
    return (points[static_cast<std::size_t>(c[1])] - tip).cross(points[static_cast<std::size_t>(c[2])] - tip);
  }
};

/// The same key for both directions of a mesh edge.
inline std::uint64_t edge_key(int a, int b) {
  const auto low = static_cast<std::uint64_t>(a < b ? a : b);
  const auto high = static_cast<std::uint64_t>(a < b ? b : a);
  return (high << 32U) | low;
}

/// Triangulates a private copy of the solid once (deflection 1e-3 of the diagonal, 0.2 rad). Errors:
/// `not_closed` when the solid has no face that can be triangulated or an opening's face is not part of it.
Result<WallMesh> build_wall_mesh(const Passage& passage);

/// Splits mesh edges longer than `longest`, new points lying on the true curves and surfaces: planar and
/// ruled walls come in triangles as long as the duct, too coarse for a function that varies along it.
void split_long_edges(WallMesh& mesh, double longest);

/// Vertices on edges at which the skin turns by more than 12 degrees from one face to the next, in rising
/// order.
std::vector<int> sharp_vertices(const WallMesh& mesh);

}  // namespace corefeed::geometry
