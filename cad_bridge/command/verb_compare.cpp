// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <set>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

using Alternatives = std::vector<studies::Alternative>;

struct Options {
  std::vector<std::string> models;
  std::vector<std::string> allow_roots;
  OutputOptions output;
  studies::StudyOptions study;
};

Issue usage(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::usage;
  issue.text = std::move(text);
  return issue;
}

/// The files' names without folder and ending, as far as that tells them apart.
std::vector<std::string> names_of(const std::vector<std::string>& files) {
  std::vector<std::string> names;
  for (const std::string& file : files) names.push_back(std::filesystem::path(file).stem().string());
  const bool distinct = std::set<std::string>(names.begin(), names.end()).size() == names.size();
  return distinct ? names : files;
}

Result<Alternatives> from_files(const Options& options) {
  Alternatives alternatives;
  std::vector<Issue> issues;
  const std::vector<std::string> names = names_of(options.models);
  for (std::size_t i = 0; i < names.size(); ++i) {
    Result<model::Model> model =
        load({.model = options.models[i], .variant = "", .allow_roots = options.allow_roots});
    if (model) {
      alternatives.push_back({names[i], std::move(model).value()});
    } else {
      issues.insert(issues.end(), model.issues().begin(), model.issues().end());
    }
  }
  if (!issues.empty()) return issues;
  return alternatives;
}

/// The model as it stands and with each of its variants.
Result<Alternatives> from_variants(const Options& options) {
  const std::string& file = options.models.front();
  Result<model::Model> base = load({.model = file, .variant = "", .allow_roots = options.allow_roots});
  if (!base) return base.issues();
  const std::vector<std::string> variants = model::variant_names(base.value());
  if (variants.empty()) {
    return usage(
        "nothing_to_compare",
        fmt::format("{} has no \"variants\" to compare it with; write some, or name a second file", file));
  }
  Alternatives alternatives{{"base", std::move(base).value()}};
  std::vector<Issue> issues;
  for (const std::string& name : variants) {
    Result<model::Model> model = load({.model = file, .variant = name, .allow_roots = options.allow_roots});
    if (model) {
      alternatives.push_back({name, std::move(model).value()});
      continue;
    }
    for (Issue issue : model.issues()) {
      issue.text = fmt::format("in the variant {}: {}", corefeed::quoted(name), issue.text);
      issues.push_back(std::move(issue));
    }
  }
  if (!issues.empty()) return issues;
  return alternatives;
}

std::vector<Issue> failures(const studies::Comparison& comparison) {
  std::vector<Issue> issues;
  for (std::size_t a = 0; a < comparison.names.size(); ++a) {
    for (const studies::PointResult& point : comparison.studies[a].points) {
      if (point.solution.converged) continue;
      Issue issue =
          usage("no_solution", fmt::format("{}, point {}: {}", comparison.names[a],
                                           corefeed::quoted(point.name), point.solution.explanation));
      issue.status = Status::no_solution;
      issues.push_back(std::move(issue));
    }
  }
  return issues;
}

Status run(const Options& options) {
  // Each variant reads the file anew, and standard input can be read once only.
  if (std::find(options.models.begin(), options.models.end(), "-") != options.models.end())
    return report({usage("bad_argument", "compare reads files, not standard input (-)")});
  const Result<Alternatives> alternatives =
      options.models.size() > 1 ? from_files(options) : from_variants(options);
  if (!alternatives) return report(alternatives.issues());
  const Result<studies::Comparison> comparison = studies::compare(alternatives.value(), options.study);
  if (!comparison) return report(comparison.issues());
  const std::string text =
      options.output.format == "json"
          ? reports::compare_json(alternatives.value(), comparison.value(), options.study)
          : reports::compare_text(alternatives.value(), comparison.value());
  const Status written = deliver(options.output, text);
  return worse(written, report(failures(comparison.value())));
}

}  // namespace

Verb compare_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("compare", "which alternative is better, by how much, and why?");
  auto options = std::make_shared<Options>();
  verb->add_option("MODEL", options->models,
                   "model files, held against the first; one alone is compared with its variants")
      ->required();
  // One value each, so that the models may stand behind them.
  verb->add_option("--allow-root", options->allow_roots, "also open files below this folder; may be repeated")
      ->type_name("DIR")
      ->allow_extra_args(false);
  verb->add_option("--point", options->study.points, "only this operating point; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
