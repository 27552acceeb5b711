// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/junit.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct Options {
  ModelOptions model;
  OutputOptions output;
  studies::StudyOptions study;
  studies::OutlookOptions outlook;
  std::string junit;
  std::string json;
};

Status write_side_file(const std::string& file, const std::string& text) {
  return file.empty() ? Status::done : deliver({.format = "", .file = file}, text);
}

Status run(const Options& options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::Study> study = studies::run_study(model.value(), options.study);
  if (!study) return report(study.issues());
  const bool wants_json = options.output.format == "json" || !options.json.empty();
  const studies::Outlook outlook =
      studies::look_ahead(model.value(), study.value(), options.study, options.outlook);
  const std::string json =
      wants_json ? reports::study_json(model.value(), study.value(), options.study, &outlook) : "";
  Status status = study.value().status;
  if (!options.junit.empty()) {
    status = worse(
        status, write_side_file(options.junit, reports::junit(model.value(), study.value(), options.study)));
  }
  status = worse(status, write_side_file(options.json, json));
  const bool text = options.output.format == "text";
  return worse(status, deliver(options.output,
                               text ? reports::check_text(model.value(), study.value(), outlook) : json));
}

}  // namespace

Verb check_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("check", "does every requirement hold? status 1 when one does not");
  auto options = std::make_shared<Options>();
  add_model_options(*verb, options->model);
  verb->add_option("--point", options->study.points, "only this operating point; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  verb->add_flag("--strict", options->study.strict,
                 "count what is too close to call, out of a law's range or mended as not met");
  verb->add_flag(
      "--envelope", options->outlook.envelope,
      "also look over every run of CFD at every speed of the points; the verdict stays with the points");
  verb->add_option("--junit", options->junit, "also write JUnit XML")->type_name("FILE");
  verb->add_option("--json", options->json, "also write the results as JSON")->type_name("FILE");
  add_sample_options(*verb, options->study.sampling);
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
