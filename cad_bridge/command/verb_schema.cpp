// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/verbs.hpp"

namespace corefeed::command {

Verb schema_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("schema", "the JSON Schema of the model file, for editors");
  return {verb, [] { return deliver({}, model::schema()); }};
}

}  // namespace corefeed::command
