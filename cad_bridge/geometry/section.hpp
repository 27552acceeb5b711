// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "cad_bridge/geometry/section_outline.hpp"
#include "cad_bridge/geometry/section_tree.hpp"
#include "cad_bridge/geometry/wall_mesh.hpp"
#include "cad_bridge/geometry/wall_mesh_place.hpp"

/// Plane sections of a passage. Lengths in mm.
namespace corefeed::geometry {

enum class Accuracy {
  mesh,  ///< the triangles as they are: fast, error about the mesh's deflection
  exact  ///< every point on the true surfaces, arcs between them integrated to about 1e-7 of the area
};

/// One closed curve of a cut, with what a vertex value does along it.
struct CutLoop {
  Outline outline;
  double level = 0;  ///< mean
  double lowest = 0;
  double highest = 0;
};

/// The closed curves in which `plane` cuts the skin, largest first. Curves that do not close (a gap in the
/// skin) are left out. `levels` holds a value per mesh vertex.
std::vector<CutLoop> cut(const WallMesh& mesh, const SectionTree& tree, const CutPlane& plane,
                         const std::vector<double>& levels, Accuracy accuracy);

/// The curves of one opening's rim, from the true edges of its end face.
std::vector<Outline> rim(const WallMesh& mesh, int opening, const CutPlane& plane);

/// What is known of a section as a whole.
struct Section {
  CutPlane plane;
  std::vector<Outline> outlines;
  double area = 0;
  double perimeter = 0;
  Vec3 center = Vec3::Zero();  ///< of area
  double long_side = 0;        ///< of the rectangle with the same second moments
  double short_side = 0;
  Vec3 long_axis = Vec3::Zero();  ///< unit, along the long side
  bool round = false;             ///< nearer to an ellipse than to a rectangle
};

/// Sums outlines (counterclockwise ones count, clockwise ones are holes).
Section summarize(const CutPlane& plane, std::vector<Outline> outlines);

/// Extent of the section along a direction of its plane.
double extent(const Section& section, const Vec3& direction);

}  // namespace corefeed::geometry
