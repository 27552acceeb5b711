// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/model/build.hpp"

namespace corefeed::command {
namespace {

Status run(const ModelOptions& options) {
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
  return deliver(
      {}, fmt::format("{}: sound; {} elements, {} nodes described, {} loops, {} points, {} requirements\n",
                      sound.file, sound.elements.size(), sound.nodes.size(), sound.loops.size(),
                      sound.points.size(), sound.requirements.size()));
}

}  // namespace

Verb validate_verb(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("validate", "is the model sound? reads it, measures its CAD parts, solves nothing");
  auto options = std::make_shared<ModelOptions>();
  add_model_options(*verb, *options);
  return {verb, [options] { return run(*options); }};
}

}  // namespace corefeed::command
