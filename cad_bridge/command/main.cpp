// SPDX-License-Identifier: Apache-2.0
#include <unistd.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <csignal>
#include <exception>
#include <iostream>
#include <new>
#include <string_view>
#include <tuple>
#include <vector>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/model/nearest.hpp"
#include "corefeed/version.hpp"

namespace {

constexpr const char* footer =
    "Exit status: 0 done and every requirement met; 1 a requirement is not met; 2 wrong command line; 3 "
    "wrong input "
    "file; 4 no solution; 5 geometry unreadable; 6 output not written; 7 a limit was hit; 70 a fault of "
    "corefeed.";

/// Names the verb or flag that a misspelt one was meant to be.
void suggest(const CLI::App& app, int argc, char** argv) {
  std::vector<std::string> words;
  const CLI::App* scope = &app;
  for (const CLI::App* verb : app.get_subcommands({})) {
    words.push_back(verb->get_name());
    if (verb->parsed()) scope = verb;
  }
  for (const CLI::Option* option : scope->get_options()) {
    for (const std::string& name : option->get_lnames()) words.push_back("--" + name);
  }
  const std::vector<std::string_view> known(words.begin(), words.end());
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = std::string_view(argv[i]).substr(0, std::string_view(argv[i]).find('='));
    const bool candidate = i == 1 || word.starts_with("--");
    if (!candidate || std::find(known.begin(), known.end(), word) != known.end()) continue;
    const std::string near = corefeed::model::nearest(word, known);
    if (!near.empty()) std::cerr << "did you mean " << near << "?\n";
  }
}

/// Where there is no memory left no exception can be relied on: libraries allocate in destructors too. No
/// file is half written at such a moment, see reports/atomic_file.cpp.
[[noreturn]] void end_without_memory() {
  constexpr std::string_view words = "out_of_memory: the memory is used up\n";
  std::ignore = ::write(STDERR_FILENO, words.data(), words.size());
  _exit(static_cast<int>(corefeed::Status::limit));
}

int run(int argc, char** argv) {
  using namespace corefeed;
  CLI::App app{
      "Flow, pressure and temperature in the cooling ducts of a car, from a model file and CAD parts",
      "corefeed"};
  app.set_version_flag("--version", std::string("corefeed ") + version);
  app.require_subcommand(1);
  app.footer(footer);
  const std::vector<command::Verb> verbs{
      command::solve_verb(app),     command::validate_verb(app), command::check_verb(app),
      command::size_verb(app),      command::sweep_verb(app),    command::compare_verb(app),
      command::lap_verb(app),       command::measure_verb(app),  command::propose_verb(app),
      command::report_verb(app),    command::explain_verb(app),  command::schema_verb(app),
      command::completion_verb(app)};
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    // CLI11 has codes of its own; a wrong command line is 2 here.
    if (app.exit(error) == 0) return 0;
    suggest(app, argc, argv);
    return static_cast<int>(Status::usage);
  }
  for (const command::Verb& verb : verbs) {
    if (verb.app->parsed()) return static_cast<int>(verb.run());
  }
  return static_cast<int>(Status::usage);
}

}  // namespace

int main(int argc, char** argv) {
  std::set_new_handler(&end_without_memory);
  // A closed reader is an output that cannot be written (6), not a silent death.
  std::signal(SIGPIPE, SIG_IGN);
  // So is one that has reached the largest size a file may have here.
  std::signal(SIGXFSZ, SIG_IGN);
  try {
    return run(argc, argv);
  } catch (const std::bad_alloc&) {
    end_without_memory();  // where a library does not ask `new`
  } catch (const std::exception& error) {
    corefeed::Issue issue;
    issue.code = "internal";
    issue.status = corefeed::Status::internal;
    issue.text = std::string("a fault of corefeed, please report it: ") + error.what();
    return static_cast<int>(corefeed::command::report({issue}));
  }
}
