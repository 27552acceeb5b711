// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/measure.hpp"

#include <Standard_Failure.hxx>
#include <algorithm>
#include <exception>
#include <iterator>
#include <new>
#include <string_view>
#include <utility>

#include "cad_bridge/geometry/bodies.hpp"
#include "cad_bridge/geometry/measure_part.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/parts.hpp"
#include "cad_bridge/geometry/ports.hpp"
#include "cad_bridge/geometry/read_step.hpp"
#include "cad_bridge/geometry/solids.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

/// The kernel reports its failures by throwing; here they turn into values.
template <class Work>
Result<std::string> guarded(Work work) {
  const auto failed = [](std::string_view reason) {
    return geometry_error("kernel_failure",
                          fmt::format("the geometry kernel failed ({}); the shape is damaged "
                                      "or beyond it, repair it and export it again",
                                      corefeed::quoted(reason)));
  };
  try {
    return work();
  } catch (const Standard_Failure& failure) {
    const char* text = failure.GetMessageString();
    return failed(text && *text ? text : failure.DynamicType()->Name());
  } catch (const std::bad_alloc&) {
    return geometry_error("out_of_memory", "the file needs more memory than the measuring program may use");
  } catch (const std::exception& failure) {
    return failed(failure.what());
  }
}

Issue no_solid(const std::vector<Body>& bodies) {
  std::vector<TopoDS_Shape> surfaces;
  for (const Body& body : bodies) {
    if (!port_of(body)) surfaces.push_back(body.shape);
  }
  return geometry_error("no_solid",
                        surfaces.empty()
                            ? std::string("the file holds no solid and no surface; expected the air inside a "
                                          "duct as a solid")
                            : fmt::format("the file holds no solid, only surfaces ({}); fill the passage and "
                                          "export the air inside the duct as a solid",
                                          describe_surfaces(surfaces)));
}

Issue no_flow_volume(const std::vector<Part>& parts, const std::vector<Body>& bodies) {
  return geometry_error(
      "no_flow_volume",
      fmt::format(
          "none of {} is known to be air; place thin bodies named port:<element>.<end> on the ends of "
          "the air in each duct, or give it a name with the word air, fluid, flow or volume",
          list_names(parts, bodies)));
}

std::vector<FaceName> ports_on(std::size_t body, const std::vector<BoundPort>& ports) {
  std::vector<FaceName> names;
  for (const BoundPort& port : ports) {
    if (port.body == body) names.push_back({port.face, port.name});
  }
  return names;
}

void append(std::vector<Issue>& to, const std::vector<Issue>& issues, Severity severity) {
  for (Issue issue : issues) {
    issue.severity = severity;
    to.push_back(std::move(issue));
  }
}

/// Measures the parts; their errors are the answer only where no part came through whole.
Result<Measurement> measure_parts(const CadFile& file, const std::vector<Part>& parts,
                                  const PortBinding& binding, const MeasureRequest& request) {
  Measurement measurement{request.file, file.unit, {}, {}, file.warnings};
  append(measurement.warnings, binding.warnings, Severity::warning);
  std::vector<Issue> errors;
  bool any_whole = false;
  for (const Part& part : parts) {
    const Body& body = file.bodies[part.body];
    if (part.kind == PartKind::body) {
      measurement.parts.push_back({body.name, "body", std::nullopt, {}, {}});
      continue;
    }
    PartOutcome outcome =
        measure_flow_volume(body, ports_on(part.body, binding.ports), {request.sections, request.at});
    any_whole = any_whole || outcome.errors.empty();
    append(measurement.warnings, outcome.warnings, Severity::warning);
    append(errors, outcome.errors, Severity::error);
    measurement.parts.push_back(std::move(outcome.part));
  }
  if (!any_whole) {
    append(errors, binding.warnings, Severity::warning);
    return errors;
  }
  append(measurement.warnings, errors, Severity::warning);
  return measurement;
}

Result<std::string> measure_file(const CadFile& file, const MeasureRequest& request) {
  const PortBinding binding = bind_ports(file.bodies);
  std::vector<Part> parts = parts_of(file.bodies, binding.ports);
  if (parts.empty()) return no_solid(file.bodies);
  std::vector<TopoDS_Shape> solids;
  for (const Part& part : parts) solids.push_back(file.bodies[part.body].shape);
  if (request.part) {
    const Result<Part> part = part_named(*request.part, parts, file.bodies);
    if (!part) return part.issues();
    parts = {part.value()};
  }
  const auto is_air = [](const Part& part) { return part.kind == PartKind::flow_volume; };
  if (std::none_of(parts.begin(), parts.end(), is_air)) {
    std::vector<Issue> issues{no_flow_volume(parts, file.bodies)};
    append(issues, binding.warnings, Severity::warning);
    return issues;
  }
  Result<Measurement> measurement = measure_parts(file, parts, binding, request);
  if (!measurement) return measurement.issues();
  measurement.value().bounding_box = bounding_box(solids);
  return write_measurement(measurement.value());
}

}  // namespace

Result<std::string> measure_step(std::istream& step, const MeasureRequest& request) {
  return guarded([&]() -> Result<std::string> {
    Result<CadFile> file = read_step(step, request.assume_unit);
    if (!file) return file.issues();
    number_equal_names(file.value().bodies);
    return measure_file(file.value(), request);
  });
}

Result<std::string> measure_shape(const TopoDS_Shape& shape, const std::string& name,
                                  const MeasureRequest& request) {
  return guarded([&]() -> Result<std::string> {
    Body context;
    context.name = name;
    context.product = name;
    CadFile file{
        "mm", bodies_of_shape(shape, context, [](const TopoDS_Shape&) { return std::string(); }), {}};
    number_equal_names(file.bodies);
    return measure_file(file, request);
  });
}

}  // namespace corefeed::geometry
