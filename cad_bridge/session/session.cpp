// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/session/session.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <string_view>

#include "cad_bridge/proposal/geometry_source.hpp"

namespace corefeed::session {
namespace {

Issue issue(Status status, std::string code, std::string text) {
  Issue made;
  made.code = std::move(code);
  made.status = status;
  made.text = std::move(text);
  return made;
}

model::ReadOptions read_options(const ModelFile& file) {
  model::ReadOptions options;
  options.variant = file.variant;
  options.allow_roots = file.allow_roots;
  options.geometry = proposal::step_source();
  return options;
}

/// What is wrong with an answer to an option is a wrong question, whatever status it has in a file.
std::vector<Issue> as_usage(std::vector<Issue> issues, std::string_view option) {
  for (Issue& one : issues) {
    one.status = Status::usage;
    one.text = option.empty() ? one.text : fmt::format("{}: {}", option, one.text);
  }
  return issues;
}

std::vector<Issue> unsolved_points(const std::vector<studies::PointResult>& points,
                                   const std::string& before) {
  std::vector<Issue> issues;
  for (const studies::PointResult& point : points) {
    if (point.solution.converged) continue;
    issues.push_back(
        issue(Status::no_solution, "no_solution",
              fmt::format("{}point {}: {}", before, quoted(point.name), point.solution.explanation)));
  }
  return issues;
}

}  // namespace

Result<model::Model> load(const ModelFile& file) { return model::read_model(file.path, read_options(file)); }

Result<model::Model> parse(const std::string& text, const std::string& label, const std::string& folder,
                           const ModelFile& how) {
  return model::parse_model(text, label, folder, read_options(how));
}

Result<double> number_for(const model::Parameter& parameter, const Given& given) {
  double value = 0;
  if (const auto* text = std::get_if<std::string>(&given)) {
    const Result<double> read = units::parse(*text, parameter.quantity);
    if (!read) return as_usage(read.issues(), parameter.name);
    value = read.value();
  } else {
    value = std::get<double>(given);
  }
  if (auto outside = model::out_of_bounds(parameter, value)) return *outside;
  return value;
}

Result<double> get_number(const model::Model& model, const std::string& name) {
  const Result<model::Parameter> parameter = model::find_parameter(model, name);
  if (!parameter) return parameter.issues();
  return model::parameter_value(model, parameter.value());
}

std::vector<Issue> set_number(model::Model& model, const std::string& name, const Given& given) {
  const Result<model::Parameter> parameter = model::find_parameter(model, name);
  if (!parameter) return parameter.issues();
  const Result<double> value = number_for(parameter.value(), given);
  if (!value) return value.issues();
  model::set_parameter(model, parameter.value(), value.value());
  model::write_parameter(model, parameter.value());
  return {};
}

Result<studies::SizeQuestion> size_question(const model::Model& model, const SizeWords& words,
                                            const SizeNames& names) {
  Result<studies::SizeQuestion> question = studies::read_condition(model, words.until);
  if (!question) return as_usage(question.issues(), names.until);
  question.value().parameters = words.vary;
  if (!words.points.empty()) question.value().points = words.points;
  for (const std::string& name : words.points) {
    const bool known = std::any_of(model.points.begin(), model.points.end(),
                                   [&name](const model::Point& point) { return point.name == name; });
    if (known) continue;
    return issue(Status::usage, "unknown_point",
                 fmt::format("{}: the model has no point {}", names.points, quoted(name)));
  }
  if (words.range.empty()) return question;
  const Result<model::Parameter> parameter = model::find_parameter(model, words.vary.front());
  if (!parameter) return as_usage(parameter.issues(), names.vary);
  std::vector<double> bounds;
  for (const Given& given : words.range) {
    const auto* text = std::get_if<std::string>(&given);
    const Result<double> bound = text != nullptr ? units::parse(*text, parameter.value().quantity)
                                                 : Result<double>(std::get<double>(given));
    if (!bound) return as_usage(bound.issues(), names.range);
    bounds.push_back(bound.value());
  }
  question.value().lowest = bounds.front();
  question.value().highest = bounds.back();
  return question;
}

std::vector<std::string> short_names(const std::vector<std::string>& files) {
  std::vector<std::string> names;
  for (const std::string& file : files) names.push_back(std::filesystem::path(file).stem().string());
  const bool distinct = std::set<std::string>(names.begin(), names.end()).size() == names.size();
  return distinct ? names : files;
}

Result<std::vector<studies::Alternative>> with_variants(const ModelFile& file) {
  Result<model::Model> base = load({.path = file.path, .allow_roots = file.allow_roots});
  if (!base) return base.issues();
  const std::vector<std::string> variants = model::variant_names(base.value());
  if (variants.empty()) {
    return issue(Status::usage, "nothing_to_compare",
                 fmt::format("{} has no \"variants\" to compare it with; write some, or name a second file",
                             file.path));
  }
  std::vector<studies::Alternative> alternatives{{"base", std::move(base).value()}};
  std::vector<Issue> issues;
  for (const std::string& name : variants) {
    Result<model::Model> model = load({.path = file.path, .variant = name, .allow_roots = file.allow_roots});
    if (model) {
      alternatives.push_back({name, std::move(model).value()});
      continue;
    }
    for (Issue one : model.issues()) {
      one.text = fmt::format("in the variant {}: {}", quoted(name), one.text);
      issues.push_back(std::move(one));
    }
  }
  if (!issues.empty()) return issues;
  return alternatives;
}

std::vector<Issue> unsolved(const studies::Study& study) {
  std::vector<Issue> issues;
  for (const studies::PointResult& point : study.points) {
    if (point.solution.converged && point.solution.is_unique()) continue;
    issues.push_back(issue(Status::no_solution,
                           point.solution.converged ? "several_solutions" : "no_solution",
                           "point \"" + point.name + "\": " + point.solution.explanation));
  }
  return issues;
}

std::vector<Issue> unsolved(const studies::Comparison& comparison) {
  std::vector<Issue> issues;
  for (std::size_t a = 0; a < comparison.names.size(); ++a) {
    for (Issue& one : unsolved_points(comparison.studies[a].points, comparison.names[a] + ", "))
      issues.push_back(std::move(one));
  }
  return issues;
}

std::vector<Issue> unsolved(const studies::LapStudy& study) {
  std::vector<Issue> issues;
  for (const Issue& warning : study.warnings) {
    if (warning.code != "starved" && warning.code != "not_cyclic") continue;
    issues.push_back(warning);
    issues.back().severity = Severity::error;
    issues.back().status = Status::no_solution;
    issues.back().place = {study.trace.file, 0, 0, {}};
  }
  return issues;
}

std::string text_of(const std::vector<Issue>& issues) {
  std::vector<Issue> sorted = issues;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Issue& a, const Issue& b) { return a.severity < b.severity; });
  std::string text;
  for (const Issue& one : sorted) text += describe(one) + "\n";
  return text;
}

}  // namespace corefeed::session
