// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/proposal/measurement_page.hpp"
#include "cad_bridge/proposal/measurement_text.hpp"
#include "cad_bridge/proposal/surface_average.hpp"
#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/printable.hpp"

namespace corefeed::command {
namespace {

struct MeasureOptions {
  std::string file;
  worker::MeasureRequest request;
  OutputOptions output;
  std::string html;
  std::vector<std::string> surface_pressure;
  std::vector<std::string> names;
};

Result<proposal::AverageOptions> average_options(const std::vector<std::string>& names) {
  proposal::AverageOptions made;
  for (const std::string& one : names) {
    const std::size_t equal = one.rfind('=');
    if (equal == std::string::npos || equal == 0 || equal + 1 == one.size()) {
      Issue issue;
      issue.code = "bad_name";
      issue.status = Status::usage;
      issue.text =
          fmt::format("--call: {}; expected OPENING=ELEMENT, such as \"cutout 1=fender_vent\"", quoted(one));
      return std::vector{issue};
    }
    made.names[one.substr(0, equal)] = one.substr(equal + 1);
  }
  return made;
}

/// The table of surface pressures of the openings in place of the measurement.
Status run_average(const MeasureOptions& options, const worker::Measurement& measured) {
  const Result<proposal::AverageOptions> settings = average_options(options.names);
  if (!settings) return report(settings.issues());
  std::vector<proposal::SurfaceRun> runs;
  for (const std::string& label : options.surface_pressure) {
    Result<std::vector<proposal::SurfaceRun>> read = proposal::read_surface_runs(label);
    if (!read) return report(read.issues());
    for (proposal::SurfaceRun& run : read.value()) runs.push_back(std::move(run));
  }
  const Result<proposal::SurfaceAverages> averages =
      proposal::average_surface(measured, runs, settings.value());
  if (!averages) return report(averages.issues());
  report(averages.value().warnings);
  return deliver({.format = "", .file = options.output.file},
                 proposal::surface_table(averages.value(), runs));
}

Status run(const MeasureOptions& options) {
  const Result<worker::Measurement> measured = worker::measure_file(options.file, options.request);
  if (!measured) return report(measured.issues());
  const bool text = options.output.format == "text";
  Status status = Status::done;
  if (!options.html.empty())
    status = deliver({.format = "", .file = options.html}, proposal::measurement_page(measured.value()));
  if (!options.surface_pressure.empty()) return worse(status, run_average(options, measured.value()));
  return worse(status, deliver(options.output, text ? printable(proposal::measurement_text(measured.value()))
                                                    : measured.value().json + "\n"));
}

}  // namespace

Verb measure_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand(
      "measure",
      "areas, perimeters, centreline and pieces of the ducts, cut-outs, cores and gaps in a STEP file");
  auto options = std::make_shared<MeasureOptions>();
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
  verb->add_option(
          "--surface-pressure", options->surface_pressure,
          "points of CFD as CSV (x, y, z, cp): write the mean over each opening and the ring around it, as a "
          "model's surface_pressure reads it; FILE@ride_height=30mm,yaw=2deg where a file holds one run")
      ->type_name("CSV")
      ->allow_extra_args(false);
  verb->add_option("--call", options->names, "OPENING=ELEMENT: its name in that table; may be repeated")
      ->type_name("NAMES")
      ->allow_extra_args(false);
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
