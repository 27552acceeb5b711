// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <gp_Dir.hxx>
#include <gp_Pln.hxx>
#include <optional>

namespace corefeed::geometry {

/// A face that lies in a plane, in mm.
struct PlanarFace {
  TopoDS_Face face;
  gp_Pln plane;     ///< as the face is parametrized
  gp_Dir normal;    ///< out of the solid, where the face belongs to one that is oriented outward
  double area = 0;  ///< mm2, inner loops left out
  gp_Pnt center;    ///< of area
};

/// Nothing where the face's surface is no plane. Area and center are by a fixed rule, exact for straight and
/// circular rims and good to about 1e-9 for splines.
std::optional<PlanarFace> planar_face(const TopoDS_Face& face);

/// Integrates area and center anew, adaptively, to about 1e-12; takes 50 times as long (milliseconds).
void refine(PlanarFace& planar);

/// Length of all loops of a face, mm; relative error below 1e-10.
double rim_length(const TopoDS_Face& face);

/// Share (0..1) of the smaller face, seen along the larger one's normal, that the larger one covers. Counted
/// on a grid: good to a few hundredths.
double overlap(const PlanarFace& a, const PlanarFace& b);

}  // namespace corefeed::geometry
