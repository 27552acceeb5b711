// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/surroundings.hpp"

#include <BRepBndLib.hxx>
#include <Bnd_Box.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <utility>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double millimeters = 1e3;      // per m
constexpr std::size_t most_holes = 100;  // a perforated plate has thousands

Vec3 to_vec(const std::array<double, 3>& v) { return {v[0], v[1], v[2]}; }

/// Of a solid, facing outward.
std::vector<Triangle> outward_triangles(const TopoDS_Shape& shape) {
  std::vector<Triangle> triangles = triangles_of(shape);
  double volume = 0;
  for (const Triangle& t : triangles)
    volume += (t[0] - triangles[0][0]).dot((t[1] - t[0]).cross(t[2] - t[0]));
  if (volume < 0) {
    for (Triangle& t : triangles) std::swap(t[1], t[2]);
  }
  return triangles;
}

bool blocks(PartKind kind) {
  return kind == PartKind::body || kind == PartKind::panel || kind == PartKind::sheet_part;
}

bool is_mesh(const std::string& name) {
  return name_has_word(name, "mesh") || name_has_word(name, "screen") || name_has_word(name, "gauze") ||
         name_has_word(name, "guard");
}

/// The end of a duct, seen along its normal.
View view_of(const Opening& opening) {
  View view;
  view.plane = {to_vec(opening.center) * millimeters, to_vec(opening.normal)};
  view.outlines = outlines_of(opening.face);
  view.perimeter = opening.perimeter * millimeters;
  view.reach = 2 * opening.hydraulic_diameter * millimeters;
  return view;
}

std::vector<Triangle> walls_behind(const Opening& opening, const Passage& passage) {
  std::vector<Triangle> walls;
  for (TopExp_Explorer face(passage.solid, TopAbs_FACE); face.More(); face.Next()) {
    if (face.Current().IsSame(opening.face)) continue;
    const std::vector<Triangle> wall = triangles_of(face.Current());
    walls.insert(walls.end(), wall.begin(), wall.end());
  }
  return walls;
}

/// Whether any of a shape can lie in the column along the view's normal.
bool may_stand_before(const View& view, const TopoDS_Shape& shape) {
  Bnd_Box body;
  BRepBndLib::Add(shape, body, false);
  Bnd_Box column;
  const double depth = view.reach + view.thickness;
  for (const std::vector<Vec3>& outline : view.outlines) {
    for (const Vec3& point : outline) {
      for (const double along : {-depth, depth}) {
        const Vec3 corner = point + along * view.plane.normal;
        column.Add(gp_Pnt(corner.x(), corner.y(), corner.z()));
      }
    }
  }
  return !body.IsVoid() && !column.IsVoid() && !column.IsOut(body);
}

}  // namespace

Surroundings::Surroundings(const std::vector<Body>& bodies, const std::vector<Part>& parts)
    : bodies_(bodies), parts_(parts) {}

const std::vector<Triangle>& Surroundings::triangles(std::size_t body) {
  const auto known = triangles_.find(body);
  if (known != triangles_.end()) return known->second;
  return triangles_.emplace(body, outward_triangles(bodies_[body].shape)).first->second;
}

std::vector<Obstacle> Surroundings::obstacles(const Part& part, const View& view) {
  std::vector<Obstacle> list;
  for (const Part& other : parts_) {
    if (!blocks(other.kind) || other.name == part.name) continue;
    const std::size_t body = other.bodies.front();
    if (may_stand_before(view, bodies_[body].shape)) list.push_back({other.name, &triangles(body)});
  }
  return list;
}

Obstruction Surroundings::look(const Part& part, const View& view, const std::string& opening,
                               std::vector<Issue>& warnings) {
  std::vector<Obstacle> solid = obstacles(part, view);
  std::vector<Obstacle> meshes;
  for (const Obstacle& each : solid) {
    if (is_mesh(each.part)) meshes.push_back(each);
  }
  std::erase_if(solid, [](const Obstacle& each) { return is_mesh(each.part); });
  for (const Blocker& mesh : look_through(view, meshes).blocked_by) {
    warnings.push_back(geometry_warning(
        "mesh_before_opening",
        fmt::format("{} covers {:.0f} % of {} of {} and counts as a mesh, not as a blocker; describe it as a "
                    "screen with its open_fraction",
                    corefeed::quoted(mesh.part), 100 * mesh.share, corefeed::quoted(opening),
                    corefeed::quoted(part.name))));
  }
  return look_through(view, solid);
}

std::vector<Issue> Surroundings::look_around(const Part& part, PartOutcome& outcome) {
  std::vector<Issue> warnings;
  auto opening = outcome.part.openings.begin();
  for (const Passage& passage : outcome.passages) {
    for (const Opening& end : passage.openings) {
      View view = view_of(end);
      if (!obstacles(part, view).empty()) view.walls = walls_behind(end, passage);
      Obstruction found = look(part, view, end.name, warnings);
      opening->free_area = opening->area * (1 - found.share);
      opening->blocked_by = std::move(found.blocked_by);
      ++opening;
    }
  }
  const std::size_t holes = outcome.part.cutouts.size();
  if (holes > most_holes) {
    warnings.push_back(geometry_warning(
        "many_cutouts",
        fmt::format("{} has {} cut-outs; what stands before them was looked at for the first {} only",
                    corefeed::quoted(part.name), holes, most_holes)));
  }
  for (std::size_t i = 0; i < std::min(holes, most_holes); ++i) {
    Cutout& cutout = outcome.part.cutouts[i];
    Obstruction found = look(part, outcome.views[i], cutout.name, warnings);
    cutout.free_area *= 1 - found.share;
    cutout.blocked_by = std::move(found.blocked_by);
  }
  return warnings;
}

}  // namespace corefeed::geometry
