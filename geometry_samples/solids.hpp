// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Solid.hxx>
#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

/// Sews faces whose borders coincide into one outward oriented solid.
TopoDS_Solid solid_from_faces(const std::vector<TopoDS_Face>& faces);

/// Joins solids that touch each other along whole faces; the faces between them vanish.
TopoDS_Solid join(const std::vector<TopoDS_Shape>& pieces);

/// The planar face of `solid` that lies at `end`.
TopoDS_Face end_face(const TopoDS_Shape& solid, const End& end);

/// A sample that consists of one flow volume alone.
Sample single_part(const std::string& name, const TopoDS_Solid& solid, Truth truth);

/// The same part with a thin solid named `port:<element>.from` / `.to` outside each end, as parts of an
/// assembly.
Sample with_port_bodies(Sample sample, const std::string& assembly, const std::string& element);

/// The same part with its end faces named `port:<element>.from` / `.to`.
Sample with_port_faces(Sample sample, const std::string& element);

/// The same part as an instance that is turned and moved in an assembly.
Sample placed(Sample sample, const std::string& assembly, const gp_Trsf& placement);

}  // namespace corefeed::geometry_samples
