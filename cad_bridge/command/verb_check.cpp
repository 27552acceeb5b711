// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/page_scripts.hpp"
#include "cad_bridge/command/verbs.hpp"
#include "corefeed/printable.hpp"
#include "corefeed/reports/annotations.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/junit.hpp"
#include "corefeed/reports/sarif.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct CheckOptions {
  ModelOptions model;
  OutputOptions output;
  studies::StudyOptions study;
  studies::OutlookOptions outlook;
  std::string junit;
  std::string sarif;
  std::string html;
  std::string json;
};

/// A study with all that its reports may ask for.
struct Checked {
  const CheckOptions& options;
  model::Model model;
  studies::Study study;
  studies::Outlook outlook;

  std::string json() const { return reports::study_json(model, study, options.study, &outlook); }
  std::string page() const {
    return reports::report_page(
        model, study, reports::page_content(model, study, options.study, outlook, options.model.variant),
        page_scripts());
  }
};

std::string result_text(const Checked& checked) {
  const std::string& format = checked.options.output.format;
  if (format == "json") return checked.json();
  if (format == "annotations")
    return reports::annotations(checked.model, checked.study, checked.options.study);
  return printable(reports::check_text(checked.model, checked.study, checked.outlook));
}

/// Files that were asked for besides the result.
Status write_files(const Checked& checked) {
  const CheckOptions& options = checked.options;
  Status status = Status::done;
  const auto write = [&status](const std::string& file, const auto& text) {
    if (!file.empty()) status = worse(status, deliver({.format = "", .file = file}, text()));
  };
  write(options.junit, [&] { return reports::junit(checked.model, checked.study, options.study); });
  write(options.sarif, [&] { return reports::sarif(checked.model, checked.study, options.study); });
  write(options.json, [&] { return checked.json(); });
  write(options.html, [&] { return checked.page(); });
  return status;
}

Status run(const CheckOptions& options) {
  Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  Result<studies::Study> study = studies::run_study(model.value(), options.study);
  if (!study) return report(study.issues());
  studies::Outlook outlook =
      studies::look_ahead(model.value(), study.value(), options.study, options.outlook);
  const Checked checked{options, std::move(model).value(), std::move(study).value(), std::move(outlook)};
  const Status written = write_files(checked);
  return worse(worse(checked.study.status, written), deliver(options.output, result_text(checked)));
}

}  // namespace

Verb check_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("check", "does every requirement hold? status 1 when one does not");
  auto options = std::make_shared<CheckOptions>();
  add_model_options(*verb, options->model);
  add_point_option(*verb, options->study.points);
  verb->add_flag("--strict", options->study.strict,
                 "count what is too close to call, out of a law's range, extrapolated or mended as not met");
  verb->add_flag(
      "--envelope", options->outlook.envelope,
      "also look over every run of CFD at every speed of the points; the verdict stays with the points");
  verb->add_option("--junit", options->junit, "also write JUnit XML")->type_name("FILE");
  verb->add_option("--sarif", options->sarif, "also write the findings as SARIF 2.1.0")->type_name("FILE");
  verb->add_option("--html", options->html, "also write a page to look at and to print")->type_name("FILE");
  verb->add_option("--json", options->json, "also write the results as JSON")->type_name("FILE");
  add_sample_options(*verb, options->study.sampling);
  add_output_options(*verb, options->output, {"text", "json", "annotations"});
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
