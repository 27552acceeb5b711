// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/page_scripts.hpp"
#include "cad_bridge/command/verbs.hpp"

namespace corefeed::command {
namespace {

struct ReportOptions {
  ModelOptions model;
  OutputOptions output;
  studies::StudyOptions study;
};

Status run(const ReportOptions& options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::Study> study = studies::run_study(model.value(), options.study);
  if (!study) return report(study.issues());
  const reports::PageContent content = reports::page_content(
      model.value(), study.value(), options.study,
      studies::look_ahead(model.value(), study.value(), options.study), options.model.variant);
  const std::string page = reports::report_page(model.value(), study.value(), content, page_scripts());
  return worse(study.value().status, deliver(options.output, page));
}

}  // namespace

Verb report_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("report", "one page to look at and to print; status as of check");
  auto options = std::make_shared<ReportOptions>();
  add_model_options(*verb, options->model);
  add_point_option(*verb, options->study.points);
  verb->add_option("-o,--output", options->output.file,
                   "write the page to this file instead of standard output")
      ->type_name("FILE");
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
