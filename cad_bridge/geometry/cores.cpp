// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/cores.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/planar_face.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;  // per mm
constexpr double square_meters = meters * meters;
constexpr double parallel = 1e-4;    // rad
constexpr double same_plane = 1e-3;  // mm

Vec3 to_vec(const gp_XYZ& v) { return {v.X(), v.Y(), v.Z()}; }
Point to_point(const Vec3& v) { return {v.x() * meters, v.y() * meters, v.z() * meters}; }
Direction to_direction(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

/// Planar faces in one plane, facing one way.
struct Side {
  Vec3 normal = Vec3::Zero();
  double height = 0;  ///< of the plane along its normal
  double area = 0;
  Vec3 moment = Vec3::Zero();
  std::vector<std::vector<Vec3>> outlines;
};

std::vector<Side> sides_of(const TopoDS_Shape& solid) {
  std::vector<Side> sides;
  for (TopExp_Explorer each(solid, TopAbs_FACE); each.More(); each.Next()) {
    const auto face = planar_face(TopoDS::Face(each.Current()));
    if (!face) continue;
    const Vec3 normal = to_vec(face->normal.XYZ());
    const Vec3 center = to_vec(face->center.XYZ());
    const auto known = std::find_if(sides.begin(), sides.end(), [&](const Side& side) {
      return (side.normal - normal).norm() < parallel &&
             std::abs(side.height - side.normal.dot(center)) < same_plane;
    });
    const bool fresh = known == sides.end();
    Side& side = fresh ? sides.emplace_back() : *known;
    if (fresh) {
      side.normal = normal;
      side.height = normal.dot(center);
    }
    side.area += face->area;
    side.moment += face->area * center;
    for (auto& outline : outlines_of(face->face)) side.outlines.push_back(std::move(outline));
  }
  return sides;
}

Result<MeasuredCore> measure_block(const std::string& part, const TopoDS_Shape& solid) {
  const std::vector<Side> sides = sides_of(solid);
  const Side* front = nullptr;
  const Side* back = nullptr;
  for (const Side& a : sides) {
    for (const Side& b : sides) {
      if ((a.normal + b.normal).norm() > parallel || a.height + b.height <= same_plane) continue;
      if (front != nullptr && a.area + b.area <= (front->area + back->area) * (1 + 1e-9)) continue;
      front = &a;
      back = &b;
    }
  }
  if (front == nullptr) {
    return geometry_error("no_core_face",
                          fmt::format("the core {} has no two parallel planar faces; draw it as a block",
                                      corefeed::quoted(part)));
  }
  MeasuredCore core;
  core.block.face_area = 0.5 * (front->area + back->area) * square_meters;
  core.block.free_face_area = core.block.face_area;
  core.block.depth = (front->height + back->height) * meters;
  core.block.center = to_point(0.5 * (front->moment / front->area + back->moment / back->area));
  core.block.normal = to_direction(front->normal);
  core.face = front->outlines;
  for (const std::vector<Vec3>& outline : core.face) core.block.outlines.push_back(drawn_loop(outline));
  return core;
}

struct Extent {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  double middle() const { return 0.5 * (low + high); }
  double size() const { return high - low; }
};

/// A member of an assembled core, as triangles.
struct MemberMesh {
  std::vector<Triangle> triangles;

  Extent along(const Vec3& axis) const {
    Extent extent;
    for (const Triangle& triangle : triangles) {
      for (const Vec3& corner : triangle) {
        extent.low = std::min(extent.low, axis.dot(corner));
        extent.high = std::max(extent.high, axis.dot(corner));
      }
    }
    return extent;
  }

  Vec3 middle() const {
    Vec3 low = triangles.front()[0];
    Vec3 high = low;
    for (const Triangle& triangle : triangles) {
      for (const Vec3& corner : triangle) {
        low = low.cwiseMin(corner);
        high = high.cwiseMax(corner);
      }
    }
    return 0.5 * (low + high);
  }
};

bool has_word(const std::string& name, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(), [&name](std::string_view word) {
    return name_has_word(name, word) || name_has_word(name, std::string(word) + "s");
  });
}

/// Sorted by what the names say.
struct Members {
  std::vector<MemberMesh> tanks;
  std::vector<MemberMesh> plates;
  std::vector<MemberMesh> tubes;
  std::vector<MemberMesh> fins;

  explicit Members(const std::vector<CoreMember>& members) {
    for (const CoreMember& member : members) {
      MemberMesh piece{triangles_of(member.shape)};
      if (piece.triangles.empty()) continue;
      if (has_word(member.name, {"tank", "header"})) {
        tanks.push_back(std::move(piece));
      } else if (has_word(member.name, {"tube"})) {
        tubes.push_back(std::move(piece));
      } else if (has_word(member.name, {"fin"})) {
        fins.push_back(std::move(piece));
      } else if (has_word(member.name, {"plate", "side"})) {
        plates.push_back(std::move(piece));
      }
    }
  }
};

/// Axes of an assembled core: along the tubes, from tube to tube, along the air.
struct CoreAxes {
  Vec3 tubes;
  Vec3 stack;
  Vec3 air;
};

/// Of the flattest directions of a box of triangles: the normals, weighted by area, cluster along the axes.
Eigen::Matrix3d box_axes(const MemberMesh& piece) {
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const Triangle& t : piece.triangles) {
    const Vec3 normal = (t[1] - t[0]).cross(t[2] - t[0]);
    if (normal.norm() > 0) spread += normal * normal.transpose() / normal.norm();
  }
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(spread).eigenvectors();
}

CoreAxes axes_of(const Members& members) {
  const std::vector<MemberMesh>& carriers = members.tubes.empty() ? members.fins : members.tubes;
  // The larger a side, the larger its share of normals: along a flat tube there are hardly any, through its
  // flat sides most.
  const Eigen::Matrix3d axes = box_axes(carriers.front());
  const Vec3 between = members.tanks[1].middle() - members.tanks[0].middle();
  int along = 0;
  for (int i = 1; i < 3; ++i) {
    if (std::abs(axes.col(i).dot(between)) > std::abs(axes.col(along).dot(between))) along = i;
  }
  const int first = (along + 1) % 3;
  const int second = (along + 2) % 3;
  const bool by_spread = carriers.size() > 1;
  const Vec3 step = by_spread ? Vec3(carriers.back().middle() - carriers.front().middle())
                              : Vec3(axes.col(std::max(first, second)));
  const bool first_stacks = std::abs(axes.col(first).dot(step)) > std::abs(axes.col(second).dot(step));
  return {axes.col(along), axes.col(first_stacks ? first : second), axes.col(first_stacks ? second : first)};
}

/// The room between the two outermost of `walls` along an axis; nothing where there are not two.
std::optional<Extent> between(const std::vector<MemberMesh>& walls, const Vec3& axis, double middle) {
  Extent room{-std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  for (const MemberMesh& wall : walls) {
    const Extent extent = wall.along(axis);
    if (extent.middle() < middle) {
      room.low = std::max(room.low, extent.high);
    } else {
      room.high = std::min(room.high, extent.low);
    }
  }
  if (!std::isfinite(room.low) || !std::isfinite(room.high)) return std::nullopt;
  return room;
}

Extent hull(const std::vector<MemberMesh>& pieces, const Vec3& axis) {
  Extent whole;
  for (const MemberMesh& piece : pieces) {
    const Extent extent = piece.along(axis);
    whole.low = std::min(whole.low, extent.low);
    whole.high = std::max(whole.high, extent.high);
  }
  return whole;
}

Result<MeasuredCore> measure_assembly(const std::string& part, const std::vector<CoreMember>& list) {
  const Members members(list);
  std::vector<MemberMesh> filling = members.tubes;
  filling.insert(filling.end(), members.fins.begin(), members.fins.end());
  if (filling.empty() || members.tanks.size() < 2) {
    return geometry_error(
        "no_core_face",
        fmt::format("the core {} has {} parts of which {} are named as tanks and {} as tubes or fins; "
                    "expected two tanks and at least one tube, or one block",
                    corefeed::quoted(part), list.size(), members.tanks.size(), filling.size()));
  }
  const CoreAxes axes = axes_of(members);
  const Extent tubes_along = hull(filling, axes.tubes);
  const Extent along = between(members.tanks, axes.tubes, tubes_along.middle()).value_or(tubes_along);
  const Extent stacked = hull(filling, axes.stack);
  const Extent stack = between(members.plates, axes.stack, stacked.middle()).value_or(stacked);
  const Extent air = hull(members.tubes.empty() ? members.fins : members.tubes, axes.air);
  double behind_tubes = 0;
  for (const MemberMesh& tube : members.tubes) behind_tubes += tube.along(axes.stack).size() * along.size();

  MeasuredCore core;
  core.block.face_area = along.size() * stack.size() * square_meters;
  core.block.free_face_area = core.block.face_area - behind_tubes * square_meters;
  core.block.depth = air.size() * meters;
  const Vec3 center = along.middle() * axes.tubes + stack.middle() * axes.stack + air.middle() * axes.air;
  core.block.center = to_point(center);
  core.block.normal = to_direction(axes.air);
  const Vec3 u = 0.5 * along.size() * axes.tubes;
  const Vec3 v = 0.5 * stack.size() * axes.stack;
  core.face = {{center - u - v, center + u - v, center + u + v, center - u + v}};
  core.block.outlines = {drawn_loop(core.face.front())};
  return core;
}

}  // namespace

Result<MeasuredCore> measure_core(const std::string& part, const std::vector<CoreMember>& members) {
  Result<MeasuredCore> core =
      members.size() == 1 ? measure_block(part, members.front().shape) : measure_assembly(part, members);
  if (!core) return core;
  for (const CoreMember& member : members) {
    const std::vector<Triangle> triangles = triangles_of(member.shape);
    core.value().triangles.insert(core.value().triangles.end(), triangles.begin(), triangles.end());
  }
  return core;
}

}  // namespace corefeed::geometry
