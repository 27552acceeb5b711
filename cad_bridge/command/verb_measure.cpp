// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/proposal/measurement_page.hpp"
#include "cad_bridge/proposal/measurement_text.hpp"
#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::command {
namespace {

struct Options {
  std::string file;
  worker::MeasureRequest request;
  OutputOptions output;
  std::string html;
};

Status run(const Options& options) {
  const Result<worker::Measurement> measured = worker::measure_file(options.file, options.request);
  if (!measured) return report(measured.issues());
  const bool text = options.output.format == "text";
  Status status = Status::done;
  if (!options.html.empty())
    status = deliver({.format = "", .file = options.html}, proposal::measurement_page(measured.value()));
  return worse(status, deliver(options.output, text ? proposal::measurement_text(measured.value())
                                                    : measured.value().json + "\n"));
}

}  // namespace

Verb measure_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand(
      "measure",
      "areas, perimeters, centreline and pieces of the ducts, cut-outs, cores and gaps in a STEP file");
  auto options = std::make_shared<Options>();
  verb->add_option("FILE", options->file, "STEP file")->required();
  verb->add_option("--part", options->request.part, "measure this part alone")->type_name("NAME");
  verb->add_option("--sections", options->request.sections, "stations along each duct, ends included")
      ->check(CLI::Range(2, 10000));
  verb->add_option("--at", options->request.at,
                   "further stations at these shares of the length, parted by commas")
      ->delimiter(',')
      ->check(CLI::Range(0.0, 1.0));
  verb->add_option("--assume-unit", options->request.assume_unit, "length unit of a file that names none")
      ->check(CLI::IsMember({"mm", "cm", "m", "in", "ft"}));
  verb->add_option("--core", options->request.cores, "this part or sub-assembly is a core; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  verb->add_option("--html", options->html, "also write a page to look at")->type_name("FILE");
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
