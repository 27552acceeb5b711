// SPDX-License-Identifier: Apache-2.0
#include <pybind11/stl.h>

#include "cad_bridge/proposal/measurement_text.hpp"
#include "cad_bridge/python/bindings.hpp"
#include "cad_bridge/python/errors.hpp"
#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::python {
namespace py = pybind11;
namespace {

using Names = std::vector<std::string>;

worker::MeasureRequest request_of(const std::string& part, int sections, const std::vector<double>& at,
                                  const Names& cores, const std::string& assume_unit) {
  worker::MeasureRequest request;
  request.part = part;
  request.sections = sections;
  request.at = at;
  request.cores = cores;
  request.assume_unit = assume_unit;
  return request;
}

Answer answer_of(const Result<worker::Measurement>& measured) {
  if (!measured) throw_issues(measured.issues());
  return {Status::done, measured.value().json + "\n", proposal::measurement_text(measured.value())};
}

Answer measure(const std::string& path, const std::string& part, int sections, const std::vector<double>& at,
               const Names& cores, const std::string& assume_unit) {
  const worker::MeasureRequest request = request_of(part, sections, at, cores, assume_unit);
  return answer_of(long_call([&] { return worker::measure_file(path, request); }));
}

Answer measure_shapes(const std::vector<std::pair<std::string, std::string>>& shapes,
                      const std::string& label, const std::string& part, int sections,
                      const std::vector<double>& at, const Names& cores) {
  std::vector<worker::ShapeText> texts;
  for (const auto& [name, brep] : shapes) texts.push_back({name, brep});
  const worker::MeasureRequest request = request_of(part, sections, at, cores, "");
  return answer_of(long_call([&] { return worker::measure_shapes(texts, label, request); }));
}

}  // namespace

void bind_measure(py::module_& module) {
  module.def("measure", &measure, py::arg("path"), py::arg("part"), py::arg("sections"), py::arg("at"),
             py::arg("cores"), py::arg("assume_unit"));
  module.def("measure_shapes", &measure_shapes, py::arg("shapes"), py::arg("label"), py::arg("part"),
             py::arg("sections"), py::arg("at"), py::arg("cores"));
}

}  // namespace corefeed::python
