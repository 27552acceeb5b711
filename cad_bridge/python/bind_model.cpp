// SPDX-License-Identifier: Apache-2.0
#include <pybind11/stl.h>

#include <algorithm>
#include <cmath>

#include "cad_bridge/python/bindings.hpp"
#include "cad_bridge/python/errors.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"
#include "corefeed/studies/lap.hpp"

namespace corefeed::python {
namespace py = pybind11;
namespace {

using Names = std::vector<std::string>;

SharedModel shared(model::Model model, session::ModelFile file) {
  return {std::make_shared<model::Model>(std::move(model)), std::move(file)};
}

SharedModel load(const std::string& path, const std::string& variant, const Names& allow_roots) {
  session::ModelFile file{path, variant, allow_roots};
  Result<model::Model> model = long_call([&file] { return session::load(file); });
  return shared(value_or_throw(std::move(model)), std::move(file));
}

SharedModel parse(const std::string& text, const std::string& label, const std::string& folder,
                  const std::string& variant, const Names& allow_roots) {
  session::ModelFile file{"", variant, allow_roots};
  Result<model::Model> model =
      long_call([&text, &label, &folder, &file] { return session::parse(text, label, folder, file); });
  return shared(value_or_throw(std::move(model)), std::move(file));
}

void set(SharedModel& self, const std::string& name, const py::object& value) {
  const session::Given given = given_of(value);
  // Somebody may still be solving the old one.
  if (self.model.use_count() > 1) self.model = std::make_shared<model::Model>(*self.model);
  const std::vector<Issue> issues = session::set_number(*self.model, name, given);
  if (!issues.empty()) throw_issues(issues);
  self.changed = true;
}

double get(const SharedModel& self, const std::string& name) {
  return value_or_throw(session::get_number(*self.model, name));
}

std::string unit(const SharedModel& self, const std::string& name) {
  const auto parameter = value_or_throw(model::find_parameter(*self.model, name));
  return std::string(units::info(parameter.quantity).si_unit);
}

Names point_names(const SharedModel& self) {
  Names names;
  for (const model::Point& point : self.model->points) names.push_back(point.name);
  return names;
}

StudyAnswer study(const SharedModel& self, studies::StudyOptions options, bool look_ahead, bool envelope) {
  const std::shared_ptr<const model::Model> model = self.model;
  StudyAnswer answer{model, std::move(options), {}, std::nullopt};
  Result<studies::Study> made = long_call([&]() -> Result<studies::Study> {
    Result<studies::Study> study = studies::run_study(*model, answer.options);
    if (study && look_ahead)
      answer.outlook = studies::look_ahead(*model, study.value(), answer.options, {.envelope = envelope});
    return study;
  });
  answer.study = value_or_throw(std::move(made));
  return answer;
}

StudyAnswer solve(const SharedModel& self, const Names& points, int samples, std::uint64_t seed) {
  studies::StudyOptions options;
  options.points = points;
  options.sampling = {samples, seed};
  return study(self, std::move(options), false, false);
}

StudyAnswer check(const SharedModel& self, const Names& points, bool strict, bool envelope, int samples,
                  std::uint64_t seed) {
  studies::StudyOptions options;
  options.points = points;
  options.strict = strict;
  options.sampling = {samples, seed};
  return study(self, std::move(options), true, envelope);
}

std::string study_json(const StudyAnswer& answer) {
  return long_call([&answer] {
    return reports::study_json(*answer.model, answer.study, answer.options,
                               answer.outlook ? &*answer.outlook : nullptr);
  });
}

std::string study_text(const StudyAnswer& answer) {
  return long_call([&answer] {
    return answer.outlook ? reports::check_text(*answer.model, answer.study, *answer.outlook)
                          : reports::solve_text(*answer.model, answer.study);
  });
}

const studies::PointResult& point_of(const StudyAnswer& answer, const std::string& name) {
  const auto& points = answer.study.points;
  const auto found = std::find_if(points.begin(), points.end(),
                                  [&name](const studies::PointResult& one) { return one.name == name; });
  if (found == points.end()) throw py::key_error(name);
  return *found;
}

double value(const StudyAnswer& answer, const std::string& point, const std::string& quantity) {
  const studies::PointResult& result = point_of(answer, point);
  const std::optional<double> found = result.solution.value(quantity);
  if (!found) throw py::key_error(quantity);
  return result.solution.converged ? *found : std::nan("");
}

double sigma(const StudyAnswer& answer, const std::string& point, const std::string& quantity) {
  const studies::PointResult& result = point_of(answer, point);
  if (!result.solution.value(quantity)) throw py::key_error(quantity);
  if (!result.solution.converged) return std::nan("");
  return studies::uncertainty_of(*answer.model, result, quantity).sigma;
}

/// A size, with the model that has it.
py::tuple size(const SharedModel& self, const Names& vary, const std::string& until, const py::list& range,
               const Names& points) {
  const std::shared_ptr<const model::Model> model = self.model;
  session::SizeWords words{vary, until, {}, points};
  for (const py::handle bound : range)
    words.range.push_back(given_of(py::reinterpret_borrow<py::object>(bound)));
  const studies::SizeQuestion question = value_or_throw(session::size_question(*model, words));
  studies::Size size = value_or_throw(long_call([&] { return studies::size(*model, question); }));
  Answer answer{size.reached ? Status::done : Status::requirement_not_met, reports::size_json(*model, size),
                reports::size_text(*model, question, size)};
  SharedModel sized = shared(std::move(size.sized), self.file);
  sized.changed = true;
  return py::make_tuple(std::move(answer), std::move(sized));
}

Answer lap(const SharedModel& self, const std::string& trace, std::optional<int> laps,
           const std::string& point) {
  const std::shared_ptr<const model::Model> model = self.model;
  const studies::LapOptions options{.point = point, .laps = laps, .solver = {}};
  return value_or_throw(long_call([&]() -> Result<Answer> {
    const Result<model::Trace> read = model::read_trace(trace, *model);
    if (!read) return read.issues();
    const Result<studies::LapStudy> study = studies::study_lap(*model, read.value(), options);
    if (!study) return study.issues();
    return Answer{study.value().status, reports::lap_json(*model, study.value()),
                  reports::lap_text(*model, study.value()), session::unsolved(study.value())};
  }));
}

Result<Answer> comparison_of(const std::vector<studies::Alternative>& alternatives, const Names& points) {
  studies::StudyOptions options;
  options.points = points;
  const Result<studies::Comparison> compared = studies::compare(alternatives, options);
  if (!compared) return compared.issues();
  return Answer{compared.value().status, reports::compare_json(alternatives, compared.value(), options),
                reports::compare_text(alternatives, compared.value()), session::unsolved(compared.value())};
}

Answer compare(const std::vector<SharedModel>& models, Names names, const Names& points) {
  if (names.empty()) {
    for (const SharedModel& one : models) names.push_back(one.file.path);
    names = session::short_names(names);
  }
  // The models stand here too, so that `set` of another thread makes copies meanwhile.
  return value_or_throw(long_call([&] {
    std::vector<studies::Alternative> alternatives;
    for (std::size_t i = 0; i < models.size(); ++i) alternatives.push_back({names[i], *models[i].model});
    return comparison_of(alternatives, points);
  }));
}

Answer compare_variants(const SharedModel& self, const Names& points) {
  const session::ModelFile file{.path = self.file.path, .allow_roots = self.file.allow_roots};
  return value_or_throw(long_call([&]() -> Result<Answer> {
    const auto alternatives = session::with_variants(file);
    if (!alternatives) return alternatives.issues();
    return comparison_of(alternatives.value(), points);
  }));
}

void bind_answers(py::module_& module) {
  py::class_<StudyAnswer>(module, "Study", "An answer to solve or check.")
      .def_property_readonly("status",
                             [](const StudyAnswer& answer) { return static_cast<int>(answer.study.status); })
      .def("json", &study_json)
      .def("text", &study_text)
      .def("value", &value, py::arg("point"), py::arg("quantity"))
      .def("sigma", &sigma, py::arg("point"), py::arg("quantity"))
      .def("throw_unsolved", [](const StudyAnswer& answer) {
        const std::vector<Issue> issues = session::unsolved(answer.study);
        if (!issues.empty()) throw_issues(issues);
      });
  py::class_<Answer>(module, "Answer", "An answer to any other question.")
      .def_property_readonly("status", [](const Answer& answer) { return static_cast<int>(answer.status); })
      .def("json", [](const Answer& answer) { return answer.json; })
      .def("text", [](const Answer& answer) { return answer.text; })
      .def("throw_unsolved", [](const Answer& answer) {
        if (!answer.unsolved.empty()) throw_issues(answer.unsolved);
      });
}

}  // namespace

session::Given given_of(const py::object& object) {
  if (py::isinstance<py::str>(object)) return object.cast<std::string>();
  const double value = PyFloat_AsDouble(object.ptr());
  if (value == -1.0 && PyErr_Occurred() != nullptr) throw py::error_already_set();
  return value;
}

void bind_model(py::module_& module) {
  bind_answers(module);
  py::class_<SharedModel>(module, "Model", "A model file as checked data.")
      .def_property_readonly("file", [](const SharedModel& self) { return self.model->file; })
      .def_property_readonly("title", [](const SharedModel& self) { return self.model->title; })
      .def_property_readonly("hash", [](const SharedModel& self) { return self.model->hash; })
      .def_property_readonly("changed", [](const SharedModel& self) { return self.changed; })
      .def_property_readonly("points", &point_names)
      .def_property_readonly("variants",
                             [](const SharedModel& self) { return model::variant_names(*self.model); })
      .def_property_readonly("warnings",
                             [](const SharedModel& self) { return issues_for_python(self.model->warnings); })
      .def("text", [](const SharedModel& self) { return model::write_model(*self.model); })
      .def("copy",
           [](const SharedModel& self) {
             return SharedModel{std::make_shared<model::Model>(*self.model), self.file, self.changed};
           })
      .def("get", &get, py::arg("name"))
      .def("set", &set, py::arg("name"), py::arg("value"))
      .def("unit", &unit, py::arg("name"))
      .def("solve", &solve, py::arg("points"), py::arg("samples"), py::arg("seed"))
      .def("check", &check, py::arg("points"), py::arg("strict"), py::arg("envelope"), py::arg("samples"),
           py::arg("seed"))
      .def("size", &size, py::arg("vary"), py::arg("until"), py::arg("range"), py::arg("points"))
      .def("lap", &lap, py::arg("trace"), py::arg("laps"), py::arg("point"));
  module.def("load", &load, py::arg("path"), py::arg("variant"), py::arg("allow_roots"));
  module.def("parse", &parse, py::arg("text"), py::arg("label"), py::arg("folder"), py::arg("variant"),
             py::arg("allow_roots"));
  module.def("compare", &compare, py::arg("models"), py::arg("names"), py::arg("points"));
  module.def("compare_variants", &compare_variants, py::arg("model"), py::arg("points"));
}

}  // namespace corefeed::python
