// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/rim_gap.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRep_Tool.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>

#include "cad_bridge/geometry/raster.hpp"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;       // per mm
constexpr double least_facing = 0.5;  // cosine between end and core: an inclined core is one still
constexpr double farthest = 0.25;     // mean gap in hydraulic diameters

/// Length of the rim and the integral of its distance to the core along it, m and m2.
struct RimIntegral {
  double length = 0;
  double area = 0;
};

RimIntegral along_rim(const TopoDS_Face& end, const std::vector<Triangle>& core) {
  constexpr int pieces = 32;
  RimIntegral sum;
  for (TopExp_Explorer each(end, TopAbs_EDGE); each.More(); each.Next()) {
    const TopoDS_Edge& edge = TopoDS::Edge(each.Current());
    if (BRep_Tool::Degenerated(edge)) continue;
    const BRepAdaptor_Curve curve(edge);
    const double step = (curve.LastParameter() - curve.FirstParameter()) / pieces;
    for (int i = 0; i < pieces; ++i) {
      gp_Pnt point;
      gp_Vec along;
      curve.D1(curve.FirstParameter() + (i + 0.5) * step, point, along);
      const double length = along.Magnitude() * std::abs(step);
      sum.length += length * meters;
      sum.area += length * distance_to(core, Vec3(point.X(), point.Y(), point.Z())) * meters * meters;
    }
  }
  return sum;
}

/// Share of the core's face inside the end's outline, both seen along the core's normal.
double coverage(const Opening& end, const MeasuredCore& core) {
  const CutPlane plane{core.face.front().front(),
                       Vec3(core.block.normal[0], core.block.normal[1], core.block.normal[2])};
  const Raster raster(plane, core.face, 0);
  const std::vector<char> face = raster.inside(core.face);
  const std::vector<char> outline = raster.inside(outlines_of(end.face));
  std::size_t cells = 0;
  std::size_t covered = 0;
  for (std::size_t i = 0; i < face.size(); ++i) {
    if (face[i] == 0) continue;
    ++cells;
    if (outline[i] != 0) ++covered;
  }
  return cells == 0 ? 0 : static_cast<double>(covered) / static_cast<double>(cells);
}

}  // namespace

std::optional<RimGap> rim_gap(const std::string& duct, const Opening& end, const std::string& core_name,
                              const MeasuredCore& core) {
  double facing = 0;
  double ahead = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    facing += end.normal[i] * core.block.normal[i];
    ahead += end.normal[i] * (core.block.center[i] - end.center[i]);
  }
  if (std::abs(facing) < least_facing || ahead <= 0) return std::nullopt;
  const RimIntegral rim = along_rim(end.face, core.triangles);
  if (!(rim.length > 0) || rim.area > farthest * end.hydraulic_diameter * rim.length) return std::nullopt;
  const double covered = coverage(end, core);
  if (!(covered > 0)) return std::nullopt;
  return RimGap{duct, core_name, rim.length, rim.area, covered, std::acos(std::min(std::abs(facing), 1.0))};
}

}  // namespace corefeed::geometry
