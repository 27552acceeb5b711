// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct Options {
  ModelOptions model;
  OutputOptions output;
  std::vector<std::string> vary;
  std::string until;
  std::vector<std::string> range;
  std::vector<std::string> points;
  std::string write;
};

std::vector<Issue> as_usage(std::vector<Issue> issues, std::string_view option) {
  for (Issue& issue : issues) {
    issue.status = Status::usage;
    issue.text = fmt::format("{}: {}", option, issue.text);
  }
  return issues;
}

Result<studies::SizeQuestion> question_of(const model::Model& model, const Options& options) {
  Result<studies::SizeQuestion> question = studies::read_condition(model, options.until);
  if (!question) return as_usage(question.issues(), "--until");
  question.value().parameters = options.vary;
  if (!options.points.empty()) question.value().points = options.points;
  for (const std::string& name : options.points) {
    bool known = false;
    for (const model::Point& point : model.points) known = known || point.name == name;
    if (known) continue;
    Issue issue;
    issue.code = "unknown_point";
    issue.text = fmt::format("the model has no point {}", corefeed::quoted(name));
    return as_usage({issue}, "--point");
  }
  if (options.range.empty()) return question;
  const Result<model::Parameter> parameter = model::find_parameter(model, options.vary.front());
  if (!parameter) return as_usage(parameter.issues(), "--vary");
  std::vector<double> bounds;
  for (const std::string& text : options.range) {
    const Result<double> bound = units::parse(text, parameter.value().quantity);
    if (!bound) return as_usage(bound.issues(), "--range");
    bounds.push_back(bound.value());
  }
  question.value().lowest = bounds[0];
  question.value().highest = bounds[1];
  return question;
}

/// A sized model is written into the model's own file, which a table of points is not.
std::vector<Issue> refusals_to_write(const model::Model& model, const Options& options) {
  if (options.write.empty()) return {};
  for (const std::string& name : options.vary) {
    const Result<model::Parameter> parameter = model::find_parameter(model, name);
    if (!parameter || model::is_in_document(model, parameter.value())) continue;
    Issue issue;
    issue.code = "not_writable";
    issue.text = fmt::format("{} stands in the table of points; the sized model would not hold it", name);
    return as_usage({issue}, "--write");
  }
  return {};
}

Status run(const Options& options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::SizeQuestion> question = question_of(model.value(), options);
  if (!question) return report(question.issues());
  const std::vector<Issue> refusals = refusals_to_write(model.value(), options);
  if (!refusals.empty()) return report(refusals);
  const Result<studies::Size> size = studies::size(model.value(), question.value());
  if (!size) return report(size.issues());
  Status status = size.value().reached ? Status::done : Status::requirement_not_met;
  if (!options.write.empty() && size.value().reached) {
    status =
        worse(status, deliver({.format = "", .file = options.write}, model::write_model(size.value().sized)));
  }
  const bool text = options.output.format == "text";
  return worse(
      status, deliver(options.output, text ? reports::size_text(model.value(), question.value(), size.value())
                                           : reports::size_json(model.value(), size.value())));
}

}  // namespace

Verb size_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("size", "how large must a number of the model be?");
  auto options = std::make_shared<Options>();
  add_model_options(*verb, options->model);
  verb->add_option("--vary", options->vary,
                   "ELEMENT.key to size; several, parted by commas, keep their ratio")
      ->required()
      ->delimiter(',')
      ->type_name("NAME.key");
  verb->add_option("--until", options->until,
                   "target, such as 'radiator.flow >= 1.5 kg/s' or 'requirement:NAME'")
      ->required()
      ->type_name("CONDITION");
  verb->add_option("--range", options->range,
                   "smallest and largest size looked at; default 0.2 and 5 times the present")
      ->expected(2)
      ->type_name("LOW HIGH");
  verb->add_option("--point", options->points, "it must hold at this point alone; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  verb->add_option("--write", options->write, "save the sized model")->type_name("FILE");
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
