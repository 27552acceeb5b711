// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/lock.hpp"
#include "corefeed/printable.hpp"

namespace corefeed::command {
namespace {

struct ValidateOptions : ModelOptions {
  bool lock = false;
};

/// Writes what the parts look like now beside the model.
Status write_lock(const model::Model& model) {
  const auto bound = [](const model::Element& element) { return !element.fingerprints.empty(); };
  if (std::any_of(model.elements.begin(), model.elements.end(), bound))
    return deliver({.format = "", .file = model::lock_path(model.file)}, model::lock_text(model));
  Issue issue;
  issue.code = "nothing_to_lock";
  issue.status = Status::input;
  issue.place.file = model.file;
  issue.text = "no element takes numbers from CAD, so there is nothing to lock";
  return report({issue});
}

Status run(const ValidateOptions& options) {
  const Result<model::Model> model = load(options);
  if (!model) return report(model.issues());
  const model::Model& sound = model.value();
  std::vector<Issue> warnings = sound.warnings;
  for (Issue& issue : model::model_warnings(sound, model::build(sound, sound.points.front()))) {
    warnings.push_back(std::move(issue));
  }
  if (options.variant.empty()) {
    // A variant is checked after patching; one that does not read makes the file unsound.
    for (const std::string& name : model::variant_names(sound)) {
      ModelOptions one = options;
      one.variant = name;
      const Result<model::Model> patched = load(one);
      if (!patched) return report(patched.issues());
    }
  }
  report(warnings);
  if (options.lock) {
    const Status written = write_lock(sound);
    if (written != Status::done) return written;
  }
  return deliver({}, printable(fmt::format(
                         "{}: sound; {} elements, {} nodes described, {} loops, {} points, {} requirements\n",
                         sound.file, sound.elements.size(), sound.nodes.size(), sound.loops.size(),
                         sound.points.size(), sound.requirements.size())));
}

}  // namespace

Verb validate_verb(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("validate", "is the model sound? reads it, measures its CAD parts, solves nothing");
  auto options = std::make_shared<ValidateOptions>();
  add_model_options(*verb, *options);
  verb->add_flag("--lock", options->lock,
                 "write MODEL.lock.json: what the bound parts look like, so that later changes are told");
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
