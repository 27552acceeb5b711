// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <vector>

#include "cad_bridge/geometry/channels.hpp"

/// Slots between the blades of a louvre. Lengths in mm.
namespace corefeed::geometry {

/// A hole of a panel with its mouths told apart.
struct Slot {
  const Channel* channel = nullptr;
  std::vector<const Mouth*> outer;
  std::vector<const Mouth*> inner;
  Vec3 normal = Vec3::Zero();  ///< mean of the outer mouths, unit
  Vec3 axis = Vec3::Zero();    ///< unit, along the walls, outward
  double projected_area = 0;
  double throat_area = 0;  ///< across the axis
};

/// Tells sides apart: outside is the smooth stretch of skin with the larger area; of equal ones the first.
std::vector<Slot> slots_of(const TopoDS_Shape& panel, const std::vector<Channel>& channels);

/// Slots that belong together, by index: inclined, parallel, of like size, in a row with no more than a blade
/// between. Every other slot is alone.
std::vector<std::vector<std::size_t>> rows_of(const std::vector<Slot>& slots);

/// Area of the convex hull of points seen along a normal.
double hull_area(const std::vector<Vec3>& points, const Vec3& normal);

}  // namespace corefeed::geometry
