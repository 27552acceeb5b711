// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <pybind11/pybind11.h>

#include <memory>
#include <optional>
#include <string>

#include "cad_bridge/session/session.hpp"
#include "corefeed/model/model.hpp"
#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/study.hpp"

/// The compiled half of the package `corefeed`. It gives JSON texts, the very ones that the command prints;
/// the half that is written in Python makes attributes and arrays of them.
namespace corefeed::python {

/// A model that Python holds. Long calls keep the model as it was when they began: setting a number while one
/// is running changes a copy. The pointer itself is touched under the interpreter's lock only.
struct SharedModel {
  std::shared_ptr<model::Model> model;
  session::ModelFile file;
  bool changed = false;  ///< by `set`
};

/// A study with what it was made of; its document is written when somebody looks into it.
struct StudyAnswer {
  std::shared_ptr<const model::Model> model;
  studies::StudyOptions options;
  studies::Study study;
  std::optional<studies::Outlook> outlook;
};

/// Any other answer.
struct Answer {
  Status status = Status::done;
  std::string json;
  std::string text;  ///< the page that the command prints
  std::vector<Issue> unsolved = {};
};

void bind_model(pybind11::module_& module);
void bind_prepared(pybind11::module_& module);
void bind_measure(pybind11::module_& module);
void bind_sweep(pybind11::module_& module);

/// A number as Python gives it: a quantity string, or a float in SI. Throws TypeError for anything else.
session::Given given_of(const pybind11::object& object);

}  // namespace corefeed::python
