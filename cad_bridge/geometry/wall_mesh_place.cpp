// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/wall_mesh_place.hpp"

#include <Eigen/LU>
#include <cmath>
#include <gp_Pnt.hxx>
#include <gp_Vec.hxx>
#include <utility>

namespace corefeed::geometry {
namespace {

constexpr int most_steps = 8;

Vec3 to_vec(const gp_XYZ& xyz) { return {xyz.X(), xyz.Y(), xyz.Z()}; }

Eigen::Matrix2d metric(const SurfacePoint& at) {
  Eigen::Matrix2d result;
  const double mixed = at.along_u.dot(at.along_v);
  result << at.along_u.squaredNorm(), mixed, mixed, at.along_v.squaredNorm();
  return result;
}

/// At a pole one direction of the surface has no length; no step can be taken there.
bool regular(const Eigen::Matrix2d& metric_here) {
  return metric_here.determinant() > 1e-14 * metric_here(0, 0) * metric_here(1, 1) &&
         metric_here.determinant() > 0;
}

}  // namespace

SurfacePoint evaluate(const BRepAdaptor_Surface& surface, const Vec2& uv) {
  gp_Pnt point;
  gp_Vec along_u;
  gp_Vec along_v;
  surface.D1(uv.x(), uv.y(), point, along_u, along_v);
  return {to_vec(point.XYZ()), to_vec(along_u.XYZ()), to_vec(along_v.XYZ())};
}

CurvePoint evaluate(const BRepAdaptor_Curve& curve, double parameter) {
  gp_Pnt point;
  gp_Vec derivative;
  curve.D1(parameter, point, derivative);
  return {to_vec(point.XYZ()), to_vec(derivative.XYZ())};
}

std::optional<SurfacePoint> move_to_plane(const BRepAdaptor_Surface& surface, const CutPlane& plane,
                                          double tolerance, Vec2& uv) {
  Vec2 trial = uv;
  for (int step = 0; step < most_steps; ++step) {
    const SurfacePoint at = evaluate(surface, trial);
    const double height = plane.height(at.position);
    if (std::abs(height) <= tolerance) {
      uv = trial;
      return at;
    }
    const Eigen::Matrix2d lengths = metric(at);
    if (!regular(lengths)) return std::nullopt;
    const Vec2 slope(at.along_u.dot(plane.normal), at.along_v.dot(plane.normal));
    const Vec2 direction = lengths.inverse() * slope;
    const double gain = slope.dot(direction);  // squared sine of the angle between surface and plane
    if (gain < 1e-6) return std::nullopt;
    trial -= direction * (height / gain);
  }
  return std::nullopt;
}

std::optional<SurfacePoint> move_to_planes(const BRepAdaptor_Surface& surface, const CutPlane& first,
                                           const CutPlane& second, double tolerance, Vec2& uv) {
  Vec2 trial = uv;
  for (int step = 0; step < most_steps; ++step) {
    const SurfacePoint at = evaluate(surface, trial);
    const Vec2 heights(first.height(at.position), second.height(at.position));
    if (heights.cwiseAbs().maxCoeff() <= tolerance) {
      uv = trial;
      return at;
    }
    Eigen::Matrix2d slopes;
    slopes << at.along_u.dot(first.normal), at.along_v.dot(first.normal), at.along_u.dot(second.normal),
        at.along_v.dot(second.normal);
    const double scale = at.along_u.norm() * at.along_v.norm();
    if (!(std::abs(slopes.determinant()) > 1e-4 * scale)) return std::nullopt;
    trial -= slopes.inverse() * heights;
  }
  return std::nullopt;
}

void move_to_foot(const BRepAdaptor_Surface& surface, const Vec3& point, double tolerance, Vec2& uv) {
  Vec2 trial = uv;
  for (int step = 0; step < most_steps; ++step) {
    const SurfacePoint at = evaluate(surface, trial);
    const Eigen::Matrix2d lengths = metric(at);
    if (!regular(lengths)) return;
    const Vec3 away = point - at.position;
    const Vec2 move = lengths.inverse() * Vec2(at.along_u.dot(away), at.along_v.dot(away));
    trial += move;
    if (move.dot(lengths * move) <= tolerance * tolerance) {
      uv = trial;
      return;
    }
  }
}

double cross_plane(const BRepAdaptor_Curve& curve, const CutPlane& plane, double low, double high,
                   double tolerance) {
  double low_height = plane.height(evaluate(curve, low).position);
  const double high_height = plane.height(evaluate(curve, high).position);
  if (low_height * high_height >= 0) return std::abs(low_height) < std::abs(high_height) ? low : high;
  double trial = low + (high - low) * low_height / (low_height - high_height);
  for (int step = 0; step < 60; ++step) {
    const CurvePoint at = evaluate(curve, trial);
    const double height = plane.height(at.position);
    if (std::abs(height) <= tolerance) break;
    if ((height > 0) == (low_height > 0)) {
      low = trial;
      low_height = height;
    } else {
      high = trial;
    }
    const double newton = trial - height / at.derivative.dot(plane.normal);
    const bool inside = newton > std::min(low, high) && newton < std::max(low, high);
    trial = inside ? newton : 0.5 * (low + high);
  }
  return trial;
}

}  // namespace corefeed::geometry
