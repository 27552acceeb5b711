// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <TopoDS_Solid.hxx>
#include <gp_Ax1.hxx>
#include <gp_Ax2.hxx>

#include "geometry_samples/duct_chain.hpp"

namespace corefeed::geometry_samples {

/// The plane face of a section in its frame.
TopoDS_Face section_face(const gp_Ax2& frame, const Section& section);

/// A round bend about `axis` that begins at `frame`.
TopoDS_Shape torus_part(const gp_Ax1& axis, const gp_Ax2& frame, double diameter, double angle);

/// Plane walls between two rectangles with parallel sides.
TopoDS_Solid frustum(const gp_Ax2& frame, const Section& from, const Section& to, double length);

/// A box whose height is h(t) = height - (height - throat_height) 16 t^2 (1 - t)^2 along its length, t from 0
/// to 1.
TopoDS_Shape pinched_box(const gp_Ax2& frame, const Section& section, double throat_height, double length);

}  // namespace corefeed::geometry_samples
