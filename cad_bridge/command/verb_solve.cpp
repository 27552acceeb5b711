// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/session/session.hpp"
#include "corefeed/printable.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct SolveOptions {
  ModelOptions model;
  OutputOptions output;
  studies::StudyOptions study;
};

Status run(const SolveOptions& options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::Study> study = studies::run_study(model.value(), options.study);
  if (!study) return report(study.issues());
  const std::string text = options.output.format == "json"
                               ? reports::study_json(model.value(), study.value(), options.study)
                               : printable(reports::solve_text(model.value(), study.value()));
  const Status written = deliver(options.output, text);
  return worse(written, report(session::unsolved(study.value())));
}

}  // namespace

Verb solve_verb(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("solve", "flow, pressure, heat and temperature at every operating point");
  auto options = std::make_shared<SolveOptions>();
  add_model_options(*verb, options->model);
  add_point_option(*verb, options->study.points);
  add_sample_options(*verb, options->study.sampling);
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
