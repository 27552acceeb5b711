// SPDX-License-Identifier: Apache-2.0
#include <pybind11/pybind11.h>

#include "cad_bridge/python/bindings.hpp"
#include "corefeed/version.hpp"

PYBIND11_MODULE(_core, module) {
  module.doc() = "The compiled half of the package corefeed.";
  module.attr("version") = std::string(corefeed::version);
  module.def(
      "schema", [] { return corefeed::model::schema(); },
      "JSON Schema (draft-07) of the model file, as `corefeed schema` prints it.");
  corefeed::python::bind_model(module);
  corefeed::python::bind_prepared(module);
  corefeed::python::bind_measure(module);
  corefeed::python::bind_sweep(module);
}
