// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/wall_mesh.hpp"

#include <fmt/format.h>

#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <Poly_PolygonOnTriangulation.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <cmath>
#include <utility>

namespace corefeed::geometry {
namespace {

Issue not_closed(std::string text) {
  return {"not_closed", Severity::error, Status::geometry, {}, std::move(text)};
}

/// Gives points that coincide one index. Neighboring faces take the points of their common edge from one and
/// the same curve, so a millionth of the diagonal is ample.
class Welder {
 public:
  Welder(std::vector<Vec3>& points, double tolerance) : points_(points), cell_(tolerance) {}

  int index_of(const Vec3& point) {
    const auto base = cell_of(point);
    for (int neighbor = 0; neighbor < 27; ++neighbor) {
      const std::array<std::int64_t, 3> cell{base[0] + neighbor % 3 - 1, base[1] + neighbor / 3 % 3 - 1,
                                             base[2] + neighbor / 9 - 1};
      const auto found = cells_.find(hash(cell));
      if (found != cells_.end() &&
          (points_[static_cast<std::size_t>(found->second)] - point).norm() <= cell_) {
        return found->second;
      }
    }
    points_.push_back(point);
    const int index = static_cast<int>(points_.size()) - 1;
    cells_[hash(base)] = index;
    return index;
  }

 private:
  std::array<std::int64_t, 3> cell_of(const Vec3& point) const {
    return {static_cast<std::int64_t>(std::floor(point.x() / cell_)),
            static_cast<std::int64_t>(std::floor(point.y() / cell_)),
            static_cast<std::int64_t>(std::floor(point.z() / cell_))};
  }
  static std::uint64_t hash(const std::array<std::int64_t, 3>& cell) {
    std::uint64_t value = 0;
    for (const std::int64_t part : cell) {
      value = (value ^ static_cast<std::uint64_t>(part)) * 0x9E3779B97F4A7C15ULL;
      value ^= value >> 29U;
    }
    return value;
  }

  std::vector<Vec3>& points_;
  double cell_;
  std::unordered_map<std::uint64_t, int> cells_;
};

struct Builder {
  WallMesh mesh;
  Welder welder;
  TopTools_IndexedMapOfShape edges;

  explicit Builder(double diagonal) : welder(mesh.points, 1e-6 * diagonal) { mesh.diagonal = diagonal; }

  void add_triangles(const TopoDS_Face& face, const Poly_Triangulation& triangulation,
                     const std::vector<int>& index) {
    const bool reversed = face.Orientation() == TopAbs_REVERSED;
    for (int number = 1; number <= triangulation.NbTriangles(); ++number) {
      std::array<int, 3> nodes{};
      triangulation.Triangle(number).Get(nodes[0], nodes[1], nodes[2]);
      if (reversed) std::swap(nodes[1], nodes[2]);
      WallTriangle triangle;
      triangle.face = static_cast<int>(mesh.faces.size()) - 1;
      for (std::size_t corner = 0; corner < 3; ++corner) {
        const gp_Pnt2d uv = triangulation.UVNode(nodes[corner]);
        triangle.corners[corner] = index[static_cast<std::size_t>(nodes[corner])];
        triangle.uv[corner] = Vec2(uv.X(), uv.Y());
      }
      const auto& c = triangle.corners;
      // At a pole a triangle shrinks to an edge that its two neighbors then share.
      if (c[0] != c[1] && c[1] != c[2] && c[2] != c[0]) mesh.triangles.push_back(triangle);
    }
  }

  void add_stretches(const TopoDS_Face& face, const Handle(Poly_Triangulation) & triangulation,
                     const TopLoc_Location& location, const std::vector<int>& index) {
    for (TopExp_Explorer explorer(face, TopAbs_EDGE); explorer.More(); explorer.Next()) {
      const TopoDS_Edge edge = TopoDS::Edge(explorer.Current());
      if (BRep_Tool::Degenerated(edge)) continue;
      const auto polygon = BRep_Tool::PolygonOnTriangulation(edge, triangulation, location);
      if (polygon.IsNull() || !polygon->HasParameters()) continue;
      const int known = edges.Extent();
      const int curve = edges.Add(edge) - 1;
      if (curve == known) mesh.curves.push_back(new BRepAdaptor_Curve(edge));
      for (int node = 1; node < polygon->NbNodes(); ++node) {
        const int a = index[static_cast<std::size_t>(polygon->Node(node))];
        const int b = index[static_cast<std::size_t>(polygon->Node(node + 1))];
        const double at_a = polygon->Parameter(node);
        const double at_b = polygon->Parameter(node + 1);
        mesh.stretches.try_emplace(edge_key(a, b),
                                   a < b ? CurveStretch{curve, at_a, at_b} : CurveStretch{curve, at_b, at_a});
      }
    }
  }

  bool add_face(const TopoDS_Face& face, int opening) {
    TopLoc_Location location;
    const auto triangulation = BRep_Tool::Triangulation(face, location);
    if (triangulation.IsNull() || !triangulation->HasUVNodes()) return false;
    WallFace wall;
    wall.surface = new BRepAdaptor_Surface(face);
    wall.flat = wall.surface->GetType() == GeomAbs_Plane;
    wall.opening = opening;
    mesh.faces.push_back(wall);
    std::vector<int> index(static_cast<std::size_t>(triangulation->NbNodes()) + 1);
    for (int node = 1; node <= triangulation->NbNodes(); ++node) {
      const gp_Pnt point = triangulation->Node(node).Transformed(location.Transformation());
      index[static_cast<std::size_t>(node)] = welder.index_of(Vec3(point.X(), point.Y(), point.Z()));
    }
    add_triangles(face, *triangulation, index);
    add_stretches(face, triangulation, location, index);
    return true;
  }
};

/// Diagonal of the bounding box; 0 for nothing.
double diagonal_of(const TopoDS_Shape& shape) {
  Bnd_Box box;
  BRepBndLib::Add(shape, box, false);
  return box.IsVoid() ? 0.0 : std::sqrt(box.SquareExtent());
}

}  // namespace

Result<WallMesh> build_wall_mesh(const Passage& passage) {
  if (passage.solid.IsNull()) return not_closed("The passage has no solid; expected a closed flow volume.");
  TopTools_IndexedMapOfShape originals;
  TopExp::MapShapes(passage.solid, TopAbs_FACE, originals);
  const double diagonal = diagonal_of(passage.solid);
  if (originals.IsEmpty() || !(diagonal > 0)) {
    return not_closed("The passage has no faces; expected a closed flow volume.");
  }
  // A copy without mesh, so that triangles left by other work on the shape cannot change a digit here.
  BRepBuilderAPI_Copy copy(passage.solid, false, false);
  BRepMesh_IncrementalMesh mesher(copy.Shape(), 1e-3 * diagonal, false, 0.2);

  std::vector<int> opening_of(static_cast<std::size_t>(originals.Extent()) + 1, -1);
  for (std::size_t number = 0; number < passage.openings.size(); ++number) {
    const Opening& opening = passage.openings[number];
    const int face = opening.face.IsNull() ? 0 : originals.FindIndex(opening.face);
    if (face == 0) {
      return not_closed(fmt::format("The end face of opening {} is not a face of the passage's solid.",
                                    corefeed::quoted(opening.name)));
    }
    opening_of[static_cast<std::size_t>(face)] = static_cast<int>(number);
  }
  // The copy's faces stand in the same order, with the orientation they have in the solid.
  TopTools_IndexedMapOfShape copies;
  TopExp::MapShapes(copy.Shape(), TopAbs_FACE, copies);
  if (copies.Extent() != originals.Extent())
    return not_closed("The passage's solid could not be copied whole.");
  Builder builder(diagonal);
  for (int face = 1; face <= originals.Extent(); ++face) {
    if (!builder.add_face(TopoDS::Face(copies(face)), opening_of[static_cast<std::size_t>(face)])) {
      return not_closed(fmt::format(
          "Face {} of the passage could not be triangulated; expected a sound flow volume.", face));
    }
  }
  return std::move(builder.mesh);
}

}  // namespace corefeed::geometry
