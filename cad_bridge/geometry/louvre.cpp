// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/louvre.hpp"

#include <BRepGProp.hxx>
#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <GProp_GProps.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <numeric>

#include "cad_bridge/geometry/edge_angle.hpp"
#include "cad_bridge/geometry/section_outline.hpp"
#include "cad_bridge/geometry/triangles.hpp"

namespace corefeed::geometry {
namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr double least_incline = 3 * degree;
constexpr double parallel_within = 5 * degree;
constexpr double like_size = 0.2;
/// Walls are straight along an axis when the mean square of their normals along it is below this.
constexpr double straight = 1e-3;

/// Area of the faces around each mouth, by the number of their smooth stretch.
std::map<int, double> areas_of_patches(const TopTools_IndexedMapOfShape& faces,
                                       const std::vector<Channel>& channels) {
  std::map<int, std::vector<int>> members;
  for (const Channel& channel : channels) {
    for (const Mouth& mouth : channel.mouths) {
      std::vector<int>& list = members[mouth.patch];
      for (const int face : mouth.skin) {
        if (std::find(list.begin(), list.end(), face) == list.end()) list.push_back(face);
      }
    }
  }
  std::map<int, double> areas;
  for (const auto& [patch, list] : members) {
    for (const int face : list) {
      GProp_GProps properties;
      BRepGProp::SurfaceProperties(faces(face), properties);
      areas[patch] += std::abs(properties.Mass());
    }
  }
  return areas;
}

/// The direction in which the walls run: across all their normals.
Vec3 axis_of(const Slot& slot, const TopTools_IndexedMapOfShape& faces) {
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const int wall : slot.channel->walls) {
    for (const Triangle& t : triangles_of(faces(wall))) {
      const Vec3 normal = (t[1] - t[0]).cross(t[2] - t[0]);
      if (normal.norm() > 0) spread += normal * normal.transpose() / normal.norm();
    }
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> axes(spread);
  if (axes.eigenvalues()[0] < straight * axes.eigenvalues()[1]) return axes.eigenvectors().col(0);
  Vec3 through = Vec3::Zero();
  for (const Mouth* mouth : slot.outer) through += mouth->center / static_cast<double>(slot.outer.size());
  for (const Mouth* mouth : slot.inner) through -= mouth->center / static_cast<double>(slot.inner.size());
  return slot.inner.empty() || !(through.norm() > 0) ? slot.normal : Vec3(through.normalized());
}

double across(const std::vector<const Mouth*>& mouths, const Vec3& axis) {
  double sum = 0;
  for (const Mouth* mouth : mouths) sum += std::abs(mouth->vector_area.dot(axis));
  return sum;
}

bool alike(const Slot& a, const Slot& b) {
  const double turn = std::acos(std::clamp(a.axis.dot(b.axis), -1.0, 1.0));
  const double larger = std::max(a.projected_area, b.projected_area);
  return a.outer.front()->patch == b.outer.front()->patch && turn < parallel_within &&
         std::abs(a.projected_area - b.projected_area) < like_size * larger;
}

/// Between neighbors in a row lies less than the slot is wide.
bool neighbors(const Slot& a, const Slot& b) {
  double nearest = std::numeric_limits<double>::infinity();
  const std::vector<Vec3> mine = points_of(a.outer.front()->edges);
  const std::vector<Vec3> others = points_of(b.outer.front()->edges);
  for (std::size_t i = 0; i < mine.size(); ++i) {
    for (const double share : {0.0, 0.5}) {
      const Vec3 here = mine[i] + share * (mine[(i + 1) % mine.size()] - mine[i]);
      for (std::size_t k = 0; k < others.size(); ++k) {
        const Vec3 side = others[(k + 1) % others.size()] - others[k];
        const double length = side.squaredNorm();
        const double along = length > 0 ? std::clamp((here - others[k]).dot(side) / length, 0.0, 1.0) : 0.0;
        nearest = std::min(nearest, (here - others[k] - along * side).norm());
      }
    }
  }
  const double width = 2 * a.projected_area / a.outer.front()->length;  // of a long slot
  return nearest < 1.5 * width;
}

}  // namespace

std::vector<Slot> slots_of(const TopoDS_Shape& panel, const std::vector<Channel>& channels) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(panel, TopAbs_FACE, faces);
  const std::map<int, double> areas = areas_of_patches(faces, channels);
  std::vector<Slot> slots;
  for (const Channel& channel : channels) {
    Slot slot;
    slot.channel = &channel;
    int best = channel.mouths.front().patch;
    for (const Mouth& mouth : channel.mouths) {
      const double gain = areas.at(mouth.patch) / areas.at(best) - 1;
      if (gain > 1e-6 || (gain > -1e-6 && mouth.patch < best)) best = mouth.patch;
    }
    for (const Mouth& mouth : channel.mouths) {
      (mouth.patch == best ? slot.outer : slot.inner).push_back(&mouth);
      if (mouth.patch == best) slot.normal += mouth.vector_area;
    }
    slot.projected_area = slot.normal.norm();
    slot.normal.normalize();
    slot.axis = axis_of(slot, faces);
    if (slot.axis.dot(slot.normal) < 0) slot.axis = -slot.axis;
    slot.throat_area = across(slot.outer, slot.axis);
    if (!slot.inner.empty()) slot.throat_area = std::min(slot.throat_area, across(slot.inner, slot.axis));
    slots.push_back(std::move(slot));
  }
  return slots;
}

std::vector<std::vector<std::size_t>> rows_of(const std::vector<Slot>& slots) {
  std::vector<std::size_t> row(slots.size());
  std::iota(row.begin(), row.end(), std::size_t{0});
  const auto inclined = [](const Slot& slot) {
    return std::acos(std::clamp(slot.axis.dot(slot.normal), -1.0, 1.0)) > least_incline;
  };
  for (std::size_t i = 0; i < slots.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (row[i] == row[k] || !inclined(slots[i]) || !inclined(slots[k])) continue;
      if (!alike(slots[i], slots[k]) || !neighbors(slots[i], slots[k])) continue;
      const auto [low, high] = std::minmax(row[i], row[k]);
      const std::size_t keep = low;
      std::replace(row.begin(), row.end(), std::size_t{high}, keep);
    }
  }
  std::map<std::size_t, std::vector<std::size_t>> members;
  for (std::size_t i = 0; i < slots.size(); ++i) members[row[i]].push_back(i);
  std::vector<std::vector<std::size_t>> rows;
  for (auto& [number, list] : members) rows.push_back(std::move(list));
  return rows;
}

double hull_area(const std::vector<Vec3>& points, const Vec3& normal) {
  const PlaneFrame frame(CutPlane{points.front(), normal});
  std::vector<Vec2> flat;
  for (const Vec3& point : points) flat.push_back(frame.flat(point));
  std::sort(flat.begin(), flat.end(),
            [](const Vec2& a, const Vec2& b) { return a.x() != b.x() ? a.x() < b.x() : a.y() < b.y(); });
  const auto turn = [](const Vec2& a, const Vec2& b, const Vec2& c) {
    return (b - a).x() * (c - a).y() - (b - a).y() * (c - a).x();
  };
  // Andrew's monotone chain, there and back.
  double twice = 0;
  for (int pass = 0; pass < 2; ++pass) {
    std::vector<Vec2> chain;
    for (const Vec2& point : flat) {
      while (chain.size() > 1 && turn(chain[chain.size() - 2], chain.back(), point) <= 0) chain.pop_back();
      chain.push_back(point);
    }
    for (std::size_t i = 0; i + 1 < chain.size(); ++i)
      twice += chain[i].x() * chain[i + 1].y() - chain[i].y() * chain[i + 1].x();
    std::reverse(flat.begin(), flat.end());
  }
  return 0.5 * twice;
}

}  // namespace corefeed::geometry
