// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <Geom2d_Curve.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <array>
#include <optional>

#include "cad_bridge/geometry/wall_mesh_place.hpp"

namespace corefeed::geometry {

/// An edge as the line in which its two faces meet. Where two curved surfaces pierce each other a file holds
/// a spline near that line, some micrometers off: enough for the sixth digit of an opening's area. Lengths in
/// mm.
class RimCurve {
 public:
  explicit RimCurve(const TopoDS_Edge& edge);

  /// With the faces on either side: points are put on both surfaces where the edge is a spline and the
  /// surfaces cross by more than some 12 degrees.
  RimCurve(const TopoDS_Edge& edge, const TopoDS_Face& one, const TopoDS_Face& other);

  double first() const { return curve_.FirstParameter(); }
  double last() const { return curve_.LastParameter(); }
  bool straight() const { return curve_.GetType() == GeomAbs_Line; }

  /// Position and derivative by the edge's own parameter.
  CurvePoint at(double parameter) const;

 private:
  struct Side {
    BRepAdaptor_Surface surface;
    Handle(Geom2d_Curve) line;  ///< the edge in the surface's parameters
  };

  Vec3 correction(double parameter) const;

  BRepAdaptor_Curve curve_;
  std::optional<std::array<Side, 2>> sides_;
};

}  // namespace corefeed::geometry
