// SPDX-License-Identifier: Apache-2.0
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include "cad_bridge/python/bindings.hpp"
#include "cad_bridge/python/errors.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/studies/sweep.hpp"

namespace corefeed::python {
namespace py = pybind11;
namespace {

using Names = std::vector<std::string>;
using Column = py::array_t<double>;

/// A text as the command takes it ("NAME=A:B:N"), or a name with its values.
studies::SweepAxis axis_of(const model::Model& model, const py::handle& item) {
  if (py::isinstance<py::str>(item))
    return value_or_throw(studies::read_axis(model, item.cast<std::string>()));
  const auto [name, values] = item.cast<std::pair<std::string, std::vector<py::object>>>();
  const auto parameter = value_or_throw(model::find_parameter(model, name));
  studies::SweepAxis axis{{name}, {}};
  for (const py::object& value : values)
    axis.values.push_back(value_or_throw(session::number_for(parameter, given_of(value))));
  if (!axis.values.empty()) return axis;
  Issue issue;
  issue.code = "bad_range";
  issue.status = Status::usage;
  issue.text = name + ": there is no value to sweep over";
  throw_issues({issue});
}

template <class Number>
Column column(std::size_t rows, const Number& number) {
  Column made(static_cast<py::ssize_t>(rows));
  double* to = made.mutable_data();
  for (std::size_t row = 0; row < rows; ++row) to[row] = number(row);
  return made;
}

py::tuple sweep(const SharedModel& self, const py::list& over, const Names& points, const Names& show,
                int jobs) {
  const std::shared_ptr<const model::Model> model = self.model;
  studies::SweepQuestion question;
  for (const py::handle item : over) question.axes.push_back(axis_of(*model, item));
  question.points = points;
  question.shown = show;
  const auto plan = value_or_throw(studies::SweepPlan::make(*model, std::move(question)));
  const studies::SweptRows rows = long_call([&] { return studies::sweep(plan, jobs); });

  const std::size_t count = plan.rows();
  const std::size_t width = plan.shown().size();
  py::dict inputs;
  for (std::size_t i = 0; i < plan.inputs().size(); ++i)
    inputs[py::str(plan.inputs()[i].name)] =
        column(count, [&](std::size_t row) { return plan.input(row, i); });
  py::dict shown;
  for (std::size_t i = 0; i < width; ++i)
    shown[py::str(plan.shown()[i].name)] =
        column(count, [&](std::size_t row) { return rows.values[row * width + i]; });
  Names names;
  for (std::size_t row = 0; row < count; ++row) names.push_back(plan.point(row));
  return py::make_tuple(inputs, shown, names, rows.reasons, issues_for_python(plan.warnings()));
}

}  // namespace

void bind_sweep(py::module_& module) {
  module.def("sweep", &sweep, py::arg("model"), py::arg("over"), py::arg("points"), py::arg("show"),
             py::arg("jobs"));
}

}  // namespace corefeed::python
