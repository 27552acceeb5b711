// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/session/session.hpp"
#include "corefeed/printable.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

struct LapOptions {
  ModelOptions model;
  OutputOptions output;
  std::string trace;
  studies::LapOptions lap;
  int laps = 0;
  bool timing = false;
};

std::string written(const LapOptions& options, const model::Model& model, const studies::LapStudy& study) {
  const bool table = options.output.file.ends_with(".csv");
  if (options.output.format == "csv" || (table && options.output.format.empty()))
    return reports::lap_csv(model, study);
  return options.output.format == "json" ? reports::lap_json(model, study)
                                         : printable(reports::lap_text(model, study));
}

void report_timing(const studies::LapStudy& study) {
  Issue note;
  note.code = "timing";
  note.severity = Severity::note;
  const double one = study.driving / study.laps;
  note.text = fmt::format(
      "prepared in {:.3f} s ({} solutions); {} laps driven in {:.2f} ms, {:.2f} ms a lap: {:.2g} "
      "of real time",
      study.preparing, study.solutions, study.laps, 1e3 * study.driving, 1e3 * one,
      one / study.trace.duration());
  report({note});
}

Status run(LapOptions options) {
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<model::Trace> trace = model::read_trace(options.trace, model.value());
  if (!trace) return report(trace.issues());
  if (options.laps > 0) options.lap.laps = options.laps;
  const Result<studies::LapStudy> study = studies::study_lap(model.value(), trace.value(), options.lap);
  if (!study) return report(study.issues());
  if (options.timing) report_timing(study.value());
  const Status delivered = deliver(options.output, written(options, model.value(), study.value()));
  return worse(study.value().status, worse(delivered, report(session::unsolved(study.value()))));
}

}  // namespace

Verb lap_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("lap", "temperatures over a lap that repeats itself, or over a stint");
  auto options = std::make_shared<LapOptions>();
  add_model_options(*verb, options->model);
  verb->add_option("TRACE", options->trace, "CSV file with time, speed and, as wanted, heat loads")
      ->required();
  verb->add_option("--laps", options->laps,
                   "drive so many laps from the start temperatures, instead of until the lap repeats itself")
      ->check(CLI::Range(1, 1000))
      ->type_name("N");
  verb->add_option("--point", options->lap.point, "operating point that gives what the trace does not name")
      ->type_name("NAME");
  verb->add_flag("--timing", options->timing, "also say how long the computation took");
  verb->add_option(
          "--format", options->output.format,
          "text, json or csv (the temperatures over time); csv if absent and FILE ends so, else text")
      ->check(CLI::IsMember({"text", "json", "csv"}));
  verb->add_option("-o,--output", options->output.file,
                   "write the result to this file instead of standard output")
      ->type_name("FILE");
  options->output.format.clear();
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
