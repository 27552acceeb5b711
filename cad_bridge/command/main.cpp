// SPDX-License-Identifier: Apache-2.0
#include <CLI/CLI.hpp>

#include <csignal>
#include <exception>
#include <vector>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/version.hpp"

namespace {

constexpr const char* footer =
    "Exit status: 0 done and every requirement met; 1 a requirement is not met; 2 wrong command line; 3 wrong input "
    "file; 4 no solution; 5 geometry unreadable; 6 output not written; 7 a limit was hit; 70 a fault of corefeed.";

int run(int argc, char** argv) {
  using namespace corefeed;
  CLI::App app{"Flow, pressure and temperature in the cooling ducts of a car, from a model file and CAD parts", "corefeed"};
  app.set_version_flag("--version", std::string("corefeed ") + version);
  app.require_subcommand(1);
  app.footer(footer);
  const std::vector<command::Verb> verbs{command::solve_verb(app),   command::validate_verb(app),
                                         command::check_verb(app),   command::size_verb(app),
                                         command::measure_verb(app), command::explain_verb(app),
                                         command::schema_verb(app)};
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    // CLI11 has codes of its own; a wrong command line is 2 here.
    return app.exit(error) == 0 ? 0 : static_cast<int>(Status::usage);
  }
  for (const command::Verb& verb : verbs) {
    if (verb.app->parsed()) return static_cast<int>(verb.run());
  }
  return static_cast<int>(Status::usage);
}

}  // namespace

int main(int argc, char** argv) {
  // A closed reader is an output that cannot be written (6), not a silent death.
  std::signal(SIGPIPE, SIG_IGN);
  try {
    return run(argc, argv);
  } catch (const std::bad_alloc&) {
    corefeed::Issue issue;
    issue.code = "out_of_memory";
    issue.status = corefeed::Status::limit;
    issue.text = "the memory is used up";
    return static_cast<int>(corefeed::command::report({issue}));
  } catch (const std::exception& error) {
    corefeed::Issue issue;
    issue.code = "internal";
    issue.status = corefeed::Status::internal;
    issue.text = std::string("a fault of corefeed, please report it: ") + error.what();
    return static_cast<int>(corefeed::command::report({issue}));
  }
}
