// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/session/session.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/printable.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct SizeOptions {
  ModelOptions model;
  OutputOptions output;
  std::vector<std::string> vary;
  std::string until;
  std::vector<std::string> range;
  std::vector<std::string> points;
  std::string write;
};

/// A sized model is written into the model's own file, which a table of points is not.
std::vector<Issue> refusals_to_write(const model::Model& model, const SizeOptions& options) {
  if (options.write.empty()) return {};
  for (const std::string& name : options.vary) {
    const Result<model::Parameter> parameter = model::find_parameter(model, name);
    if (!parameter || model::is_in_document(model, parameter.value())) continue;
    Issue issue;
    issue.code = "not_writable";
    issue.status = Status::usage;
    issue.text =
        fmt::format("--write: {} stands in the table of points; the sized model would not hold it", name);
    return {issue};
  }
  return {};
}

Status run(const SizeOptions& options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::SizeQuestion> question = session::size_question(
      model.value(),
      {.vary = options.vary,
       .until = options.until,
       .range = std::vector<session::Given>(options.range.begin(), options.range.end()),
       .points = options.points},
      {.vary = "--vary", .until = "--until", .range = "--range", .points = "--point"});
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
  return worse(status, deliver(options.output, text ? printable(reports::size_text(
                                                          model.value(), question.value(), size.value()))
                                                    : reports::size_json(model.value(), size.value())));
}

}  // namespace

Verb size_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("size", "how large must a number of the model be?");
  auto options = std::make_shared<SizeOptions>();
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
