// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <functional>
#include <gp_Pnt.hxx>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"

/// Shapes and truths of the samples that are no flow volume. Lengths in mm, JSON in SI units.
namespace corefeed::geometry_samples {

using Json = nlohmann::ordered_json;

double meters(double value);
double square_meters(double value);
Json to_json(const gp_Pnt& point);  // meters
Json to_json(const gp_Dir& direction);

/// A box from corner to corner along the axes.
TopoDS_Shape box(const gp_Pnt& low, const gp_Pnt& high);

/// A cylinder from `base` along `axis`.
TopoDS_Shape cylinder(const gp_Pnt& base, const gp_Dir& axis, double radius, double length);

/// `whole` without the others.
TopoDS_Shape cut(const TopoDS_Shape& whole, const std::vector<TopoDS_Shape>& others);

/// Integral of `f` from `low` to `high` by the Gauss-Legendre rule of five points on 400 stretches: to about
/// rounding for smooth functions.
double integral(const std::function<double(double)>& f, double low, double high);

/// What stands before an opening.
Json blocker(const std::string& part, double gap, double share, double open_perimeter);

/// Moves every body and every center and normal of the truth.
Sample moved(Sample sample, const gp_Trsf& placement);

}  // namespace corefeed::geometry_samples
