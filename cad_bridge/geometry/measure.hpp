// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <iosfwd>
#include <string>

#include "cad_bridge/geometry/measure_request.hpp"
#include "corefeed/result.hpp"

/// The door of this room: a STEP text or a kernel shape in, the measurement document (JSON, SI units) out.
/// The worker program and the plugin of the kernel's own console call the same two functions, so that a
/// designer and a pipeline get the same numbers. Neither prints; what the kernel itself prints on standard
/// output is the caller's concern. Kernel failures come back as issues of status geometry, never as
/// exceptions.
namespace corefeed::geometry {

/// Reads STEP and measures it. Not reentrant in the kernel: calls are serialized. Errors: not_step,
/// dangling_reference, no_unit, mixed_units, unknown_unit, nothing_transferred, and those of `measure_shape`.
Result<std::string> measure_step(std::istream& step, const MeasureRequest& request);

/// The same with what the measuring program tells besides the document: layers and colors of openings
/// (`write_marks`), and curves to draw (`write_drawing`).
struct Measured {
  std::string document;
  std::string marks;
  std::string drawing;
};
/// Shapes of the request are read by `read_brep` instead, with the error not_brep.
Result<Measured> measure_step_whole(std::istream& step, const MeasureRequest& request);

/// Measures a shape that is already in the kernel, in mm, under the given name. Errors: no_solid,
/// no_flow_volume, unknown_part, invalid_solid, not_closed, end_not_planar, no_ends, no_core_face,
/// kernel_failure, and those of `trace_path`. Parts that cannot be measured beside others that can are
/// warnings of the document.
Result<std::string> measure_shape(const TopoDS_Shape& shape, const std::string& name,
                                  const MeasureRequest& request);

}  // namespace corefeed::geometry
