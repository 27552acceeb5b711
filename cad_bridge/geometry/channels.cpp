// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/channels.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <set>
#include <utility>

#include "cad_bridge/geometry/edge_angle.hpp"

namespace corefeed::geometry {
namespace {

/// Sine of the least slope by which a mouth's plane must face the skin around it. Round the end of a pipe the
/// mean of the outer wall's normals vanishes: that loop is an edge of the outer skin, not a hole in it.
constexpr double least_facing = 0.3;

/// An edge is a rim from here on (rad): 12 degrees. Steeply inclined blades leave the skin at little more;
/// what the kernel approximates by facets turns by less.
constexpr double least_turn = 0.21;

Vec3 to_vec(const gp_XYZ& xyz) { return {xyz.X(), xyz.Y(), xyz.Z()}; }

/// An edge where the skin turns sharply, as one of its two faces uses it.
struct RimEdge {
  TopoDS_Edge edge;
  int face = 0;
  int wall = 0;  ///< the face across
  int start = 0;
  int end = 0;  ///< vertices
  bool convex = false;
};

class Finder {
 public:
  explicit Finder(const TopoDS_Shape& solid) {
    TopExp::MapShapes(solid, TopAbs_FACE, faces_);
    TopExp::MapShapes(solid, TopAbs_EDGE, edges_);
    TopExp::MapShapes(solid, TopAbs_VERTEX, vertices_);
    TopExp::MapShapesAndAncestors(solid, TopAbs_EDGE, TopAbs_FACE, faces_of_edge_);
  }

  std::vector<Channel> run() {
    collect_rims();
    patch_ = components([this](int edge) { return !sharp_.contains(edge); });
    collect_mouths();
    std::set<int> mouth_edges;
    for (const auto& [mouth, wall] : mouths_) {
      for (const TopoDS_Edge& edge : mouth.edges) mouth_edges.insert(edges_.FindIndex(edge));
    }
    const std::vector<int> regions =
        components([&mouth_edges](int edge) { return !mouth_edges.contains(edge); });
    return gather(regions);
  }

 private:
  void collect_rims() {
    for (int f = 1; f <= faces_.Extent(); ++f) {
      const TopoDS_Face face = TopoDS::Face(faces_(f));
      for (TopExp_Explorer each(face, TopAbs_EDGE); each.More(); each.Next()) {
        const TopoDS_Edge edge = TopoDS::Edge(each.Current());
        if (BRep_Tool::Degenerated(edge)) continue;
        const TopoDS_Face wall = face_across(faces_of_edge_.FindFromKey(edge), face);
        if (wall.IsNull()) continue;
        const EdgeAngle angle = edge_angle(edge, face, wall);
        if (angle.least > -least_turn && angle.most < least_turn) continue;
        sharp_.insert(edges_.FindIndex(edge));
        rims_.push_back({edge, f, faces_.FindIndex(wall),
                         vertices_.FindIndex(TopExp::FirstVertex(edge, true)),
                         vertices_.FindIndex(TopExp::LastVertex(edge, true)), angle.least > least_turn});
      }
    }
  }

  /// Faces joined across the edges that `joins` lets through get one number.
  template <class Joins>
  std::vector<int> components(const Joins& joins) const {
    std::vector<int> parent(static_cast<std::size_t>(faces_.Extent()) + 1);
    std::iota(parent.begin(), parent.end(), 0);
    const auto root = [&parent](int face) {
      while (parent[static_cast<std::size_t>(face)] != face) face = parent[static_cast<std::size_t>(face)];
      return face;
    };
    for (int e = 1; e <= faces_of_edge_.Extent(); ++e) {
      if (!joins(edges_.FindIndex(faces_of_edge_.FindKey(e)))) continue;
      int first = 0;
      for (const TopoDS_Shape& face : faces_of_edge_(e)) {
        const int here = root(faces_.FindIndex(face));
        if (first == 0) first = here;
        const auto [low, high] = std::minmax(first, here);
        parent[static_cast<std::size_t>(high)] = low;
        first = low;
      }
    }
    for (int face = 1; face <= faces_.Extent(); ++face) parent[static_cast<std::size_t>(face)] = root(face);
    return parent;
  }

  /// Chains the sharp edges round each smooth patch and keeps the loops that are holes in it.
  void collect_mouths() {
    std::map<std::pair<int, int>, std::vector<std::size_t>> starting;  // by patch and vertex
    for (std::size_t i = 0; i < rims_.size(); ++i)
      starting[{patch_[static_cast<std::size_t>(rims_[i].face)], rims_[i].start}].push_back(i);
    std::vector<char> used(rims_.size(), 0);
    for (std::size_t i = 0; i < rims_.size(); ++i) {
      if (used[i] != 0) continue;
      std::vector<std::size_t> chain;
      std::size_t current = i;
      while (true) {
        used[current] = 1;
        chain.push_back(current);
        if (rims_[current].end == rims_[i].start) break;
        const auto& next = starting[{patch_[static_cast<std::size_t>(rims_[i].face)], rims_[current].end}];
        const auto open = std::find_if(next.begin(), next.end(), [&](std::size_t k) { return used[k] == 0; });
        if (open == next.end()) {
          chain.clear();
          break;
        }
        current = *open;
      }
      add_mouth(chain);
    }
  }

  void add_mouth(const std::vector<std::size_t>& chain) {
    if (chain.empty()) return;
    Mouth mouth;
    Vec3 facing = Vec3::Zero();
    for (const std::size_t i : chain) {
      if (!rims_[i].convex) return;
      mouth.edges.push_back(rims_[i].edge);
      mouth.skin.push_back(rims_[i].face);
      facing += facing_of(rims_[i]);
    }
    mouth.patch = patch_[static_cast<std::size_t>(rims_[chain.front()].face)];
    const LoopIntegrals whole = integrate_loop(mouth.edges);
    mouth.length = whole.length;
    mouth.center = whole.center;
    // Edges run with the skin on their left: clockwise round a hole.
    mouth.vector_area = -whole.vector_area;
    const double area = mouth.vector_area.norm();
    if (!(area > 1e-9 * whole.length * whole.length)) return;
    if (mouth.vector_area.dot(facing) < least_facing * area * whole.length) return;
    mouth.normal = facing.normalized();
    mouths_.emplace_back(std::move(mouth), rims_[chain.front()].wall);
  }

  /// The skin's normal along the edge, times its length.
  Vec3 facing_of(const RimEdge& rim) const {
    constexpr int samples = 8;
    const BRepAdaptor_Curve curve(rim.edge);
    const double span = curve.LastParameter() - curve.FirstParameter();
    Vec3 sum = Vec3::Zero();
    for (int i = 0; i < samples; ++i) {
      const double parameter = curve.FirstParameter() + span * (i + 0.5) / samples;
      const auto normal = outward_normal(rim.edge, TopoDS::Face(faces_(rim.face)), parameter);
      gp_Pnt point;
      gp_Vec along;
      curve.D1(parameter, point, along);
      if (normal) sum += to_vec(normal->XYZ()) * (along.Magnitude() * std::abs(span) / samples);
    }
    return sum;
  }

  std::vector<Channel> gather(const std::vector<int>& regions) const {
    const auto region = [&regions](int face) { return regions[static_cast<std::size_t>(face)]; };
    std::map<int, Channel> channels;
    for (const auto& [mouth, wall] : mouths_) {
      const int behind = region(wall);
      const bool separates = std::none_of(mouth.skin.begin(), mouth.skin.end(),
                                          [&](int face) { return region(face) == behind; });
      if (separates) channels[behind].mouths.push_back(mouth);
    }
    std::vector<Channel> result;
    for (auto& [number, channel] : channels) {
      if (channel.mouths.size() < 2) continue;
      for (int face = 1; face <= faces_.Extent(); ++face) {
        if (region(face) == number) channel.walls.push_back(face);
      }
      std::stable_sort(channel.mouths.begin(), channel.mouths.end(), [](const Mouth& a, const Mouth& b) {
        return a.vector_area.norm() > b.vector_area.norm() * (1 + 1e-9);
      });
      result.push_back(std::move(channel));
    }
    return result;
  }

  TopTools_IndexedMapOfShape faces_;
  TopTools_IndexedMapOfShape edges_;
  TopTools_IndexedMapOfShape vertices_;
  FacesOfEdge faces_of_edge_;
  std::set<int> sharp_;
  std::vector<RimEdge> rims_;
  std::vector<int> patch_;
  std::vector<std::pair<Mouth, int>> mouths_;  // with the wall behind the first edge
};

/// Parameters between which a curve is a single smooth piece, in equal steps of a few dozen along the whole:
/// across the knots of a spline Gauss' rule would lose its order.
std::vector<double> smooth_steps(const BRepAdaptor_Curve& curve) {
  constexpr int whole = 48;
  const int pieces = curve.GetType() == GeomAbs_Line ? 1 : curve.NbIntervals(GeomAbs_CN);
  TColStd_Array1OfReal knots(1, pieces + 1);
  knots(1) = curve.FirstParameter();
  knots(pieces + 1) = curve.LastParameter();
  if (pieces > 1) curve.Intervals(knots, GeomAbs_CN);
  const int each = curve.GetType() == GeomAbs_Line ? 1 : std::max(2, whole / pieces);
  std::vector<double> steps{knots(1)};
  for (int piece = 1; piece <= pieces; ++piece) {
    for (int i = 1; i <= each; ++i)
      steps.push_back(knots(piece) + (knots(piece + 1) - knots(piece)) * i / each);
  }
  return steps;
}

}  // namespace

std::vector<Channel> find_channels(const TopoDS_Shape& solid) { return Finder(solid).run(); }

TopoDS_Wire wire_of(const Mouth& mouth) {
  BRepBuilderAPI_MakeWire maker;
  for (const TopoDS_Edge& edge : mouth.edges) maker.Add(edge);
  return maker.IsDone() ? maker.Wire() : TopoDS_Wire();
}

std::optional<TopoDS_Face> continued_skin(const Mouth& mouth, const TopoDS_Shape& solid) {
  TopoDS_Wire wire = wire_of(mouth);
  if (wire.IsNull()) return std::nullopt;
  wire.Reverse();
  const bool one_face = std::all_of(mouth.skin.begin(), mouth.skin.end(),
                                    [&mouth](int face) { return face == mouth.skin.front(); });
  if (one_face) {
    TopTools_IndexedMapOfShape faces;
    TopExp::MapShapes(solid, TopAbs_FACE, faces);
    TopoDS_Face face = TopoDS::Face(faces(mouth.skin.front()).EmptyCopied());
    BRep_Builder().Add(face, wire);
    return face;
  }
  BRepBuilderAPI_MakeFace flat(wire, true);
  return flat.IsDone() ? std::optional(flat.Face()) : std::nullopt;
}

LoopIntegrals integrate_loop(const std::vector<TopoDS_Edge>& edges) {
  // Gauss-Legendre, three points.
  const double offset = 0.5 * std::sqrt(0.6);
  const std::array<std::pair<double, double>, 3> rule{
      {{0.5 - offset, 5.0 / 18}, {0.5, 8.0 / 18}, {0.5 + offset, 5.0 / 18}}};
  LoopIntegrals sums;
  std::optional<Vec3> origin;
  for (const TopoDS_Edge& edge : edges) {
    const BRepAdaptor_Curve curve(edge);
    const double sign = edge.Orientation() == TopAbs_REVERSED ? -1.0 : 1.0;
    const std::vector<double> steps = smooth_steps(curve);
    for (std::size_t i = 1; i < steps.size(); ++i) {
      const double width = steps[i] - steps[i - 1];
      for (const auto& [place, weight] : rule) {
        gp_Pnt point;
        gp_Vec along;
        curve.D1(steps[i - 1] + place * width, point, along);
        const Vec3 here = to_vec(point.XYZ());
        const Vec3 moved = to_vec(along.XYZ()) * (width * weight);
        if (!origin) origin = here;
        sums.length += moved.norm();
        sums.center += (here - *origin) * moved.norm();
        sums.vector_area += 0.5 * sign * (here - *origin).cross(moved);
      }
    }
  }
  if (sums.length > 0) sums.center = *origin + sums.center / sums.length;
  return sums;
}

}  // namespace corefeed::geometry
