// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/measure.hpp"

#include <Standard_Failure.hxx>
#include <exception>
#include <new>
#include <string_view>
#include <utility>

#include "cad_bridge/geometry/bodies.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/read_brep.hpp"
#include "cad_bridge/geometry/read_step.hpp"
#include "cad_bridge/geometry/survey.hpp"
#include "cad_bridge/geometry/write_measurement.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

/// The kernel reports its failures by throwing; here they turn into values.
template <class Work>
Result<Measured> guarded(Work work) {
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

Result<Measured> measure_file(const CadFile& file, const MeasureRequest& request) {
  const Result<Measurement> measurement = survey(file, request);
  if (!measurement) return measurement.issues();
  Result<std::string> document = write_measurement(measurement.value());
  if (!document) return document.issues();
  return Measured{std::move(document).value(), write_marks(measurement.value()),
                  write_drawing(measurement.value())};
}

Result<std::string> document_of(Result<Measured> measured) {
  if (!measured) return measured.issues();
  return std::move(measured.value().document);
}

}  // namespace

Result<Measured> measure_step_whole(std::istream& step, const MeasureRequest& request) {
  return guarded([&]() -> Result<Measured> {
    Result<CadFile> file =
        request.shapes.empty() ? read_step(step, request.assume_unit) : read_brep(step, request.shapes);
    if (!file) return file.issues();
    if (request.shapes.empty()) take_as_text(file.value().bodies);
    number_equal_names(file.value().bodies);
    return measure_file(file.value(), request);
  });
}

Result<std::string> measure_step(std::istream& step, const MeasureRequest& request) {
  return document_of(measure_step_whole(step, request));
}

Result<std::string> measure_shape(const TopoDS_Shape& shape, const std::string& name,
                                  const MeasureRequest& request) {
  return document_of(guarded([&]() -> Result<Measured> {
    Body context;
    context.name = name;
    context.product = name;
    const auto no_name = [](const TopoDS_Shape&) { return std::string(); };
    const auto no_mark = [](const TopoDS_Shape&) { return FaceMark(); };
    CadFile file{"mm", bodies_of_shape(shape, context, no_name, no_mark), {}};
    number_equal_names(file.bodies);
    return measure_file(file, request);
  }));
}

}  // namespace corefeed::geometry
