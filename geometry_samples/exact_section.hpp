// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <gp_Dir.hxx>
#include <gp_Pnt.hxx>

namespace corefeed::geometry_samples {

/// Millimeters, from the kernel's exact curves and surfaces; no mesh is involved.
struct Measure {
  double area = 0.0;
  double perimeter = 0.0;
  gp_Pnt center;
};

Measure measure_face(const TopoDS_Face& face);

/// The section of `solid` by the plane through `center` square to `tangent`. All of it is counted: the plane
/// must not reach another stretch of the same duct.
Measure exact_section(const TopoDS_Shape& solid, const gp_Pnt& center, const gp_Dir& tangent);

/// The smallest angle, over the rim of `face`, by which the surface turns at the edge; 0 where the wall goes
/// on smoothly.
double smallest_edge_angle(const TopoDS_Shape& solid, const TopoDS_Face& face);

}  // namespace corefeed::geometry_samples
