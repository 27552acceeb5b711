// SPDX-License-Identifier: Apache-2.0
#include <pybind11/stl.h>

#include <algorithm>
#include <functional>
#include <map>
#include <mutex>

#include "cad_bridge/python/bindings.hpp"
#include "cad_bridge/python/errors.hpp"
#include "corefeed/cooling/prepared.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/parameter.hpp"

namespace corefeed::python {
namespace py = pybind11;
namespace {

/// A number of the equations, with the bounds of its key.
struct Input {
  std::size_t place = 0;
  model::Parameter parameter;
};

template <class Value>
using ByName = std::map<std::string, Value, std::less<>>;

const model::Point& point_named(const model::Model& model, const std::string& name) {
  if (name.empty()) return model.points.front();
  for (const model::Point& point : model.points) {
    if (point.name == name) return point;
  }
  Issue issue;
  issue.code = "unknown_point";
  issue.status = Status::usage;
  issue.text = "the model has no point " + quoted(name);
  throw_issues({issue});
}

/// `cooling::Prepared` for Python: names instead of places, and one caller at a time.
class PreparedPoint {
 public:
  PreparedPoint(const SharedModel& shared, const std::string& name)
      : point_(point_named(*shared.model, name).name),
        problem_(model::build(*shared.model, point_named(*shared.model, name)).problem),
        prepared_(problem_) {
    list_inputs(*shared.model);
  }

  const std::string& point() const { return point_; }

  std::vector<std::string> inputs() const {
    std::vector<std::string> names;
    for (const auto& [name, input] : inputs_) names.push_back(name);
    return names;
  }

  void set(std::string_view name, const py::object& value) {
    const auto found = inputs_.find(name);
    if (found == inputs_.end()) throw_unknown("unknown_parameter", "number", name);
    const Result<double> number = session::number_for(found->second.parameter, given_of(value));
    if (!number) throw_issues(number.issues());
    const std::unique_lock alone = only_caller();
    prepared_.set(found->second.place, number.value());
  }

  int solve() {
    cooling::Prepared::Ended ended;
    {
      const std::unique_lock alone = only_caller();
      ended = long_call([this] { return prepared_.solve(); });
    }
    if (ended.converged) return ended.iterations;
    Issue issue;
    issue.code = "no_solution";
    issue.status = Status::no_solution;
    issue.text = "point " + quoted(point_) + ": no steady state was found";
    throw_issues({issue});
  }

  double value(std::string_view quantity) {
    const std::size_t place = output(quantity);
    const std::unique_lock alone = only_caller();
    return prepared_.value(place);
  }

  std::map<std::string, double> gradient(std::string_view quantity) {
    const std::size_t place = output(quantity);
    std::vector<double> slopes;
    {
      const std::unique_lock alone = only_caller();
      slopes = prepared_.gradient(place);
    }
    std::map<std::string, double> by_name;
    for (const auto& [name, input] : inputs_) {
      if (input.place < slopes.size()) by_name[name] = slopes[input.place];
    }
    return by_name;
  }

 private:
  /// Waits without the interpreter's lock, which the caller before may need to come to an end.
  std::unique_lock<std::mutex> only_caller() {
    std::unique_lock lock(mutex_, std::try_to_lock);
    if (!lock.owns_lock()) {
      const py::gil_scoped_release others_may_run;
      lock.lock();
    }
    return lock;
  }

  std::size_t output(std::string_view quantity) {
    if (const auto known = outputs_.find(quantity); known != outputs_.end()) return known->second;
    const std::unique_lock alone = only_caller();
    const std::optional<std::size_t> place = prepared_.output(quantity);
    if (!place) throw_unknown("unknown_quantity", "quantity", quantity);
    outputs_.emplace(quantity, *place);
    return *place;
  }

  [[noreturn]] void throw_unknown(const char* code, const char* what, std::string_view name) const {
    Issue issue;
    issue.code = code;
    issue.status = Status::usage;
    issue.text = std::string("point ") + quoted(point_) + " has no " + what + " " + quoted(name);
    throw_issues({issue});
  }

  void add(const model::Parameter& parameter) {
    if (const auto place = prepared_.input(parameter.name))
      inputs_.emplace(parameter.name, Input{*place, parameter});
  }

  void list_inputs(const model::Model& model) {
    for (const auto& element : problem_.network.elements) {
      for (const losses::Key& key : element.kind->keys) {
        model::Parameter parameter;
        parameter.name = element.name + "." + std::string(key.name);
        parameter.quantity = key.quantity;
        parameter.lowest = key.lowest;
        parameter.highest = key.highest;
        parameter.above_lowest = key.above_lowest;
        add(parameter);
      }
    }
    for (const model::Loop& loop : model.loops) {
      for (const char* key : {"flow", "heat_load"}) {
        if (const auto found = model::find_parameter(model, loop.name + "." + key)) add(found.value());
      }
    }
    if (const auto found = model::find_parameter(model, "speed")) add(found.value());
  }

  std::string point_;
  cooling::Case problem_;
  cooling::Prepared prepared_;
  ByName<Input> inputs_;
  ByName<std::size_t> outputs_;
  std::mutex mutex_;
};

constexpr const char* about =
    "One operating point that is solved again and again with other numbers.\n\n"
    "Its equations are set up once and each solution starts from the last one, so that a solution takes some "
    "tens of\nmicroseconds. Its numbers are its own: the model that it came from does not change. It does "
    "not "
    "look for further\noperating points and judges nothing; `Model.solve` does.";
constexpr const char* about_set =
    "Sets a number (\"fender_vent.area\", \"coolant.heat_load\", \"speed\"): a quantity string or a float in "
    "SI.\n\nRaises UsageError for an unknown name, a unit that does not fit and a number out of its bounds.";
constexpr const char* about_solve =
    "Solves from the last solution, or from afar where none is near. Gives the count of Newton steps.\n\n"
    "Raises NoSolution where there is no steady state.";
constexpr const char* about_value =
    "A quantity (\"radiator.flow\") at the last solution, SI. Raises UsageError for an unknown one.";
constexpr const char* about_gradient =
    "Exact derivatives of a quantity at the last solution by all inputs but the speed, SI.\n\nEmpty where "
    "the "
    "equations do not determine the state.";

}  // namespace

void bind_prepared(py::module_& module) {
  py::class_<PreparedPoint> type(module, "Prepared", about);
  type.attr("__module__") = "corefeed";
  type.def(py::init<const SharedModel&, const std::string&>(), py::arg("model"), py::arg("point"))
      .def_property_readonly("point", &PreparedPoint::point, "Name of the operating point.")
      .def_property_readonly("inputs", &PreparedPoint::inputs, "Names that `set` takes.")
      .def("set", &PreparedPoint::set, py::arg("name"), py::arg("value"), about_set)
      .def("solve", &PreparedPoint::solve, about_solve)
      .def("value", &PreparedPoint::value, py::arg("quantity"), about_value)
      .def("gradient", &PreparedPoint::gradient, py::arg("quantity"), about_gradient);
}

}  // namespace corefeed::python
