// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/panel.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomAPI_ProjectPointOnSurf.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

#include "cad_bridge/geometry/louvre.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;  // per mm
constexpr double square_meters = meters * meters;

Point to_point(const Vec3& v) { return {v.x() * meters, v.y() * meters, v.z() * meters}; }

/// Distance from a point to the surfaces of faces, continued beyond their rims.
double distance_to_surfaces(const std::set<int>& chosen, const TopTools_IndexedMapOfShape& faces,
                            const gp_Pnt& point) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const int face : chosen) {
    const GeomAPI_ProjectPointOnSurf foot(point, BRep_Tool::Surface(TopoDS::Face(faces(face))));
    if (foot.NbPoints() > 0) nearest = std::min(nearest, foot.LowerDistance());
  }
  return nearest;
}

/// Mean over the length of the outer rims of the distance to the inner skin; 0 where there is none.
double thickness_of(const Slot& slot, const TopTools_IndexedMapOfShape& faces) {
  constexpr int samples = 6;
  std::set<int> inner;
  for (const Mouth* mouth : slot.inner) inner.insert(mouth->skin.begin(), mouth->skin.end());
  double sum = 0;
  double weight = 0;
  for (const Mouth* mouth : slot.outer) {
    for (const TopoDS_Edge& edge : mouth->edges) {
      const BRepAdaptor_Curve curve(edge);
      const double span = curve.LastParameter() - curve.FirstParameter();
      for (int i = 0; i < samples; ++i) {
        gp_Pnt point;
        gp_Vec along;
        curve.D1(curve.FirstParameter() + span * (i + 0.5) / samples, point, along);
        const double distance = distance_to_surfaces(inner, faces, point);
        if (!std::isfinite(distance)) continue;
        sum += distance * along.Magnitude() * std::abs(span);
        weight += along.Magnitude() * std::abs(span);
      }
    }
  }
  return weight > 0 ? sum / weight : 0.0;
}

/// Sums over the holes of one cut-out. Lengths in mm.
class HoleSum {
 public:
  explicit HoleSum(const TopoDS_Shape& panel) : panel_(panel) {
    TopExp::MapShapes(panel, TopAbs_FACE, faces_);
  }

  void add(const Slot& slot) {
    const double thickness = thickness_of(slot, faces_);
    for (const Mouth* mouth : slot.outer) add_mouth(*mouth, thickness);
    for (const Mouth* mouth : slot.inner) add_cover(*mouth);
    throat_ += slot.throat_area;
    axis_ += slot.axis * slot.projected_area;
    hole_.walls.insert(hole_.walls.end(), slot.channel->walls.begin(), slot.channel->walls.end());
  }

  PanelHole finish() {
    const double projected = vector_area_.norm();
    const Vec3 normal = vector_area_ / projected;
    Cutout& cutout = hole_.cutout;
    cutout.area = area_ * square_meters;
    cutout.projected_area = projected_ * square_meters;
    cutout.perimeter = length_ * meters;
    cutout.thickness = thickness_ / length_ * meters;
    const Vec3 center = center_ / area_;
    cutout.center = to_point(center);
    cutout.normal = {normal.x(), normal.y(), normal.z()};
    cutout.free_area = cutout.projected_area;
    if (mouths_ > 1) add_louvre(normal);
    View& view = hole_.view;
    view.plane = {center, normal};
    view.perimeter = length_;
    view.reach = 2 * 4 * projected / length_;
    view.thickness = thickness_ / length_;
    for (const std::vector<Vec3>& outline : view.outlines) cutout.outlines.push_back(drawn_loop(outline));
    return std::move(hole_);
  }

 private:
  void add_mouth(const Mouth& mouth, double thickness) {
    ++mouths_;
    vector_area_ += mouth.vector_area;
    projected_ += mouth.vector_area.norm();
    length_ += mouth.length;
    thickness_ += thickness * mouth.length;
    hole_.view.outlines.push_back(points_of(mouth.edges));
    double area = mouth.vector_area.norm();
    Vec3 center = mouth.center;
    if (const auto skin = continued_skin(mouth, panel_)) {
      GProp_GProps properties;
      BRepGProp::SurfaceProperties(*skin, properties, 1e-9);
      area = std::abs(properties.Mass());
      const gp_Pnt middle = properties.CentreOfMass();
      center = Vec3(middle.X(), middle.Y(), middle.Z());
      const std::vector<Triangle> triangles = triangles_of(*skin);
      hole_.view.skin.insert(hole_.view.skin.end(), triangles.begin(), triangles.end());
      if (BRepAdaptor_Surface(*skin).GetType() == GeomAbs_Plane) hole_.covers.push_back(*skin);
    }
    area_ += area;
    center_ += area * center;
  }

  void add_cover(const Mouth& mouth) {
    const auto skin = continued_skin(mouth, panel_);
    if (skin && BRepAdaptor_Surface(*skin).GetType() == GeomAbs_Plane) hole_.covers.push_back(*skin);
  }

  void add_louvre(const Vec3& normal) {
    Louvre louvre;
    louvre.blades = mouths_ - 1;
    louvre.blade_angle = std::acos(std::clamp(axis_.normalized().dot(normal), -1.0, 1.0));
    std::vector<Vec3> points;
    for (const std::vector<Vec3>& outline : hole_.view.outlines)
      points.insert(points.end(), outline.begin(), outline.end());
    louvre.gross_area = hull_area(points, normal) * square_meters;
    louvre.throat_area = throat_ * square_meters;
    hole_.cutout.free_area = louvre.throat_area;
    hole_.cutout.louvre = louvre;
  }

  const TopoDS_Shape& panel_;
  TopTools_IndexedMapOfShape faces_;
  PanelHole hole_;
  int mouths_ = 0;
  double area_ = 0;
  double projected_ = 0;
  double length_ = 0;
  double thickness_ = 0;  // times length
  double throat_ = 0;
  Vec3 center_ = Vec3::Zero();
  Vec3 vector_area_ = Vec3::Zero();
  Vec3 axis_ = Vec3::Zero();
};

}  // namespace

std::vector<PanelHole> measure_holes(const TopoDS_Shape& panel, const std::vector<Channel>& channels) {
  const std::vector<Slot> slots = slots_of(panel, channels);
  std::vector<PanelHole> holes;
  for (const std::vector<std::size_t>& row : rows_of(slots)) {
    HoleSum sum(panel);
    for (const std::size_t slot : row) sum.add(slots[slot]);
    holes.push_back(sum.finish());
  }
  return holes;
}

}  // namespace corefeed::geometry
