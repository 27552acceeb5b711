// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/thin_wall.hpp"

#include <BRepBndLib.hxx>
#include <BRepGProp.hxx>
#include <Bnd_OBB.hxx>
#include <GProp_GProps.hxx>
#include <algorithm>
#include <array>
#include <cmath>

namespace corefeed::geometry {
namespace {

constexpr double thin = 0.1;

/// Of the smallest box round the shape, mm.
double middle_dimension(const TopoDS_Shape& shape) {
  Bnd_OBB box;
  BRepBndLib::AddOBB(shape, box, false, false, false);
  std::array<double, 3> sides{2 * box.XHSize(), 2 * box.YHSize(), 2 * box.ZHSize()};
  std::sort(sides.begin(), sides.end());
  return sides[1];
}

bool is_passage(const Channel& channel, double thickness) {
  return channel.length() > std::max(5 * thickness, 0.2 * channel.diameter()) &&
         thickness < thin * channel.diameter();
}

}  // namespace

ThinWall thin_wall_of(const TopoDS_Shape& solid, bool may_be_panel) {
  ThinWall wall;
  GProp_GProps volume;
  BRepGProp::VolumeProperties(solid, volume);
  GProp_GProps surface;
  BRepGProp::SurfaceProperties(solid, surface);
  wall.solid = volume.Mass() < 0 ? solid.Reversed() : solid;
  if (!(std::abs(surface.Mass()) > 0)) return wall;
  wall.thickness = 2 * std::abs(volume.Mass()) / std::abs(surface.Mass());
  for (Channel& channel : find_channels(wall.solid)) {
    const bool passage = is_passage(channel, wall.thickness);
    (passage ? wall.passages : wall.holes).push_back(std::move(channel));
  }
  if (!wall.passages.empty()) {
    wall.kind = ThinWall::Kind::sheet_part;
  } else if (may_be_panel && !wall.holes.empty() && wall.thickness < thin * middle_dimension(solid)) {
    wall.kind = ThinWall::Kind::panel;
  }
  return wall;
}

}  // namespace corefeed::geometry
