// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/losses/kind.hpp"
#include "corefeed/model/nearest.hpp"
#include "corefeed/reports/explain.hpp"

namespace corefeed::command {
namespace {

Status run(const std::string& name) {
  if (name.empty()) return deliver({}, reports::explain_all());
  const losses::Kind* kind = losses::find_kind(name);
  if (kind != nullptr) return deliver({}, reports::explain(*kind));
  std::vector<std::string_view> known;
  for (const losses::Kind* one : losses::kinds()) known.push_back(one->name);
  Issue issue;
  issue.code = "unknown_name";
  issue.status = Status::usage;
  issue.text = "there is no element kind " + corefeed::quoted(name);
  const std::string near = model::nearest(name, known);
  issue.text +=
      near.empty() ? "; corefeed explain lists all" : "; did you mean " + corefeed::quoted(near) + "?";
  return report({issue});
}

}  // namespace

Verb explain_verb(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("explain", "the law of an element kind: formula, range, band, source, keys");
  auto name = std::make_shared<std::string>();
  verb->add_option("KIND", *name, "element kind; all of them are listed without it");
  return {verb, [name] { return run(*name); }};
}

}  // namespace corefeed::command
