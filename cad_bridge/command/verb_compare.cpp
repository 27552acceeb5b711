// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/session/session.hpp"
#include "corefeed/printable.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/text.hpp"

namespace corefeed::command {
namespace {

using Alternatives = std::vector<studies::Alternative>;

struct CompareOptions {
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

Result<Alternatives> from_files(const CompareOptions& options) {
  Alternatives alternatives;
  std::vector<Issue> issues;
  const std::vector<std::string> names = session::short_names(options.models);
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

Status run(const CompareOptions& options) {
  // Each variant reads the file anew, and standard input can be read once only.
  if (std::find(options.models.begin(), options.models.end(), "-") != options.models.end())
    return report({usage("bad_argument", "compare reads files, not standard input (-)")});
  const Result<Alternatives> alternatives =
      options.models.size() > 1
          ? from_files(options)
          : session::with_variants({.path = options.models.front(), .allow_roots = options.allow_roots});
  if (!alternatives) return report(alternatives.issues());
  const Result<studies::Comparison> comparison = studies::compare(alternatives.value(), options.study);
  if (!comparison) return report(comparison.issues());
  const std::string text =
      options.output.format == "json"
          ? reports::compare_json(alternatives.value(), comparison.value(), options.study)
          : printable(reports::compare_text(alternatives.value(), comparison.value()));
  const Status written = deliver(options.output, text);
  return worse(written, report(session::unsolved(comparison.value())));
}

}  // namespace

Verb compare_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("compare", "which alternative is better, by how much, and why?");
  auto options = std::make_shared<CompareOptions>();
  verb->add_option("MODEL", options->models,
                   "model files, held against the first; one alone is compared with its variants")
      ->required();
  // One value each, so that the models may stand behind them.
  verb->add_option("--allow-root", options->allow_roots, "also open files below this folder; may be repeated")
      ->type_name("DIR")
      ->allow_extra_args(false);
  add_point_option(*verb, options->study.points);
  add_output_options(*verb, options->output);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
