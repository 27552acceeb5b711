// SPDX-License-Identifier: Apache-2.0
#include <filesystem>
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/proposal/propose.hpp"
#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/printable.hpp"

namespace corefeed::command {
namespace {

struct ProposeOptions {
  std::string file;
  std::string model;
  std::string binding;
  worker::MeasureRequest request;
};

/// The file as the model names it: relative to the model's folder.
std::string seen_from_model(const std::string& file, const std::string& model) {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::path folder = fs::absolute(fs::path(model), error).parent_path();
  const fs::path relative = fs::proximate(fs::absolute(fs::path(file), error), folder, error);
  return error ? file : relative.generic_string();
}

/// A model that was filled in by hand is not lost to a second run.
std::vector<Issue> refuse_to_overwrite(const std::string& model) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(model, error)) return {};
  Issue issue;
  issue.code = "file_exists";
  issue.status = Status::output;
  issue.place.file = model;
  issue.text = "this file exists and may have been filled in by hand; give another name, or remove it first";
  return {issue};
}

Status run(const ProposeOptions& options) {
  const std::vector<Issue> refused = refuse_to_overwrite(options.model);
  if (!refused.empty()) return report(refused);
  proposal::Binding binding;
  if (!options.binding.empty()) {
    Result<proposal::Binding> read = proposal::read_binding(options.binding);
    if (!read) return report(read.issues());
    binding = std::move(read).value();
  }
  const Result<worker::Measurement> measured = worker::measure_file(options.file, options.request);
  if (!measured) return report(measured.issues());
  const Result<proposal::Proposal> made =
      proposal::propose(measured.value(), seen_from_model(options.file, options.model), binding);
  if (!made) return report(made.issues());
  std::vector<Issue> warnings;
  for (const worker::MeasureWarning& one : measured.value().warnings) {
    Issue issue;
    issue.code = one.code;
    issue.severity = Severity::warning;
    issue.place.file = options.file;
    issue.text = one.text;
    warnings.push_back(std::move(issue));
  }
  report(warnings);
  const Status written =
      deliver({.format = "", .file = options.model}, model::write_document(made.value().root));
  if (written != Status::done) return written;
  return deliver({}, printable(proposal::proposal_text(made.value(), options.model)));
}

}  // namespace

Verb propose_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("propose", "a first model from the parts of a STEP assembly");
  auto options = std::make_shared<ProposeOptions>();
  verb->add_option("FILE", options->file, "STEP file of the assembly")->required();
  verb->add_option("-o,--output", options->model, "the model to write")->type_name("MODEL")->required();
  verb->add_option("--binding", options->binding,
                   "file that says what parts are, where shapes and names do not")
      ->type_name("FILE");
  verb->add_option("--core", options->request.cores, "this part or sub-assembly is a core; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  verb->add_option("--assume-unit", options->request.assume_unit, "length unit of a file that names none")
      ->check(CLI::IsMember({"mm", "cm", "m", "in", "ft"}));
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
