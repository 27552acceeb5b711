// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/python/errors.hpp"

#include "cad_bridge/session/session.hpp"

namespace corefeed::python {
namespace py = pybind11;
namespace {

const char* word_for(Severity severity) {
  switch (severity) {
    case Severity::note:
      return "note";
    case Severity::warning:
      return "warning";
    case Severity::error:
      break;
  }
  return "error";
}

}  // namespace

py::list issues_for_python(const std::vector<Issue>& issues) {
  const py::object make = py::module_::import("corefeed._errors").attr("Issue");
  py::list list;
  for (const Issue& issue : issues) {
    list.append(make(issue.code, word_for(issue.severity), static_cast<int>(issue.status), issue.place.file,
                     issue.place.line, issue.place.column, issue.place.pointer, issue.text, describe(issue)));
  }
  return list;
}

void throw_issues(const std::vector<Issue>& issues) {
  const py::object make = py::module_::import("corefeed._errors").attr("error_of");
  std::string text = session::text_of(issues);
  if (!text.empty()) text.pop_back();
  const py::object error = make(static_cast<int>(worst_status(issues)), text, issues_for_python(issues));
  PyErr_SetObject(py::type::of(error).ptr(), error.ptr());
  throw py::error_already_set();
}

void CtrlC::operator()() {
  const auto now = std::chrono::steady_clock::now();
  if (now < next_) return;
  next_ = now + patience;
  const py::gil_scoped_acquire lock;
  if (PyErr_CheckSignals() != 0) throw py::error_already_set();
}

}  // namespace corefeed::python
