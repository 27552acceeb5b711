// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <functional>
#include <memory>

#include "cad_bridge/command/verbs.hpp"
#include "corefeed/version.hpp"

/// `corefeed completion bash|zsh|fish|man`: what a shell completes and the manual page, from the same tree of
/// verbs and options that reads the command line. Run when the command is installed; not listed in --help.
namespace corefeed::command {
namespace {

struct Words {
  std::vector<std::string> names;  ///< "-o", "--output"
  std::vector<std::string> choices;
  std::string help;
  std::string value;  ///< "FILE"; empty for a flag
};

struct VerbWords {
  std::string name;
  std::string help;
  std::vector<Words> options;
  std::vector<std::string> arguments;  ///< "MODEL"
};

/// CLI11 writes a choice as "TEXT:{text,json}".
std::vector<std::string> choices_in(const std::string& type) {
  const std::size_t begin = type.find('{');
  const std::size_t end = type.find('}');
  if (begin == std::string::npos || end == std::string::npos) return {};
  return CLI::detail::split(type.substr(begin + 1, end - begin - 1), ',');
}

VerbWords words_of(const CLI::App& verb) {
  VerbWords words{verb.get_name(), verb.get_description(), {}, {}};
  for (const CLI::Option* option : verb.get_options()) {
    if (option->get_positional()) {
      words.arguments.push_back(option->get_name(true));
      continue;
    }
    Words one{{}, choices_in(option->get_type_name()), option->get_description(), ""};
    for (const std::string& name : option->get_snames()) one.names.push_back("-" + name);
    for (const std::string& name : option->get_lnames()) one.names.push_back("--" + name);
    if (option->get_items_expected_max() > 0) {
      const std::string type = option->get_type_name();
      one.value = type.substr(0, type.find(':'));
    }
    words.options.push_back(std::move(one));
  }
  return words;
}

std::vector<VerbWords> tree_of(const CLI::App& app) {
  std::vector<VerbWords> tree;
  // A verb without a group is not listed.
  for (const CLI::App* verb :
       app.get_subcommands([](const CLI::App* one) { return !one->get_group().empty(); }))
    tree.push_back(words_of(*verb));
  return tree;
}

std::vector<std::string> names_of(const std::vector<VerbWords>& tree) {
  std::vector<std::string> names;
  for (const VerbWords& verb : tree) names.push_back(verb.name);
  return names;
}

std::string bash(const std::vector<VerbWords>& tree) {
  std::string values;
  std::string options;
  for (const VerbWords& verb : tree) {
    std::vector<std::string> names;
    for (const Words& option : verb.options) {
      names.insert(names.end(), option.names.begin(), option.names.end());
      for (const std::string& name : option.names) {
        if (!option.choices.empty())
          values +=
              fmt::format("    {}:{}) words=\"{}\" ;;\n", verb.name, name, fmt::join(option.choices, " "));
      }
    }
    options += fmt::format("    {}) words=\"{}\" ;;\n", verb.name, fmt::join(names, " "));
  }
  return fmt::format(R"(# bash completion for corefeed
_corefeed() {{
  local current=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} verb=${{COMP_WORDS[1]}} words=
  COMPREPLY=()
  # --format=text comes as three words.
  if [ "$before" = = ]; then before=${{COMP_WORDS[COMP_CWORD-2]}}; fi
  if [ "$current" = = ]; then current=; fi
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W "{} --help --version" -- "$current")
    return
  fi
  case $verb:$before in
{}  esac
  if [ -n "$words" ]; then
    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$current")
    return
  fi
  case $verb in
{}  esac
  case $current in
    -*) mapfile -t COMPREPLY < <(compgen -W "$words" -- "$current") ;;
    *) compopt -o filenames 2>/dev/null; mapfile -t COMPREPLY < <(compgen -f -- "$current") ;;
  esac
}}
complete -F _corefeed corefeed
)",
                     fmt::join(names_of(tree), " "), values, options);
}

/// Text inside single quotes of a shell; brackets and colons mean something to zsh.
std::string plain(const std::string& text) {
  std::string safe;
  for (const char c : text) {
    if (c == '\'') {
      safe += "'\\''";
    } else {
      safe += c == '[' || c == ']' || c == ':' ? ' ' : c;
    }
  }
  return safe;
}

std::string zsh(const std::vector<VerbWords>& tree) {
  std::string verbs;
  std::string cases;
  for (const VerbWords& verb : tree) {
    verbs += fmt::format("    '{}:{}'\n", verb.name, plain(verb.help));
    cases += fmt::format("    {}) _arguments", verb.name);
    for (const Words& option : verb.options) {
      for (const std::string& name : option.names) {
        cases += fmt::format(" \\\n      '{}[{}]", name, plain(option.help));
        if (!option.choices.empty()) {
          cases += fmt::format(":value:({})", fmt::join(option.choices, " "));
        } else if (!option.value.empty()) {
          cases += fmt::format(":{}:_files", option.value);
        }
        cases += "'";
      }
    }
    cases += " \\\n      '*:file:_files' ;;\n";
  }
  return fmt::format(R"(#compdef corefeed
_corefeed() {{
  local -a verbs
  verbs=(
{}  )
  if (( CURRENT == 2 )); then
    _describe verb verbs
    return
  fi
  local verb=$words[2]
  shift words
  (( CURRENT-- ))
  case $verb in
{}  esac
}}
_corefeed "$@"
)",
                     verbs, cases);
}

std::string fish(const std::vector<VerbWords>& tree) {
  std::string text = "# fish completion for corefeed\n";
  for (const VerbWords& verb : tree) {
    text += fmt::format("complete -c corefeed -n __fish_use_subcommand -f -a {} -d '{}'\n", verb.name,
                        plain(verb.help));
    for (const Words& option : verb.options) {
      text += fmt::format("complete -c corefeed -n '__fish_seen_subcommand_from {}'", verb.name);
      for (const std::string& name : option.names)
        text += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
      if (!option.value.empty()) text += " -r";
      if (!option.choices.empty()) text += fmt::format(" -f -a '{}'", fmt::join(option.choices, " "));
      text += fmt::format(" -d '{}'\n", plain(option.help));
    }
  }
  return text;
}

/// Text for troff: a line may not begin with a dot or a quote, and a hyphen is a minus.
std::string troff(const std::string& text) {
  std::string safe;
  for (const char c : text) {
    if (c == '\\') {
      safe += "\\e";
    } else if (c == '-') {
      safe += "\\-";
    } else {
      safe += c;
    }
  }
  return (safe.starts_with(".") || safe.starts_with("'") ? "\\&" : "") + safe;
}

std::string man(const std::vector<VerbWords>& tree, const CLI::App& app) {
  std::string text =
      fmt::format(".TH COREFEED 1 \"\" \"corefeed {}\" \"User Commands\"\n.SH NAME\ncorefeed \\- {}\n",
                  version, troff(app.get_description()));
  text += ".SH SYNOPSIS\n.B corefeed\n.I VERB ARGUMENTS\n.SH VERBS\n";
  for (const VerbWords& verb : tree) {
    text += fmt::format(".SS {} {}\n{}\n", verb.name, fmt::join(verb.arguments, " "), troff(verb.help));
    for (const Words& option : verb.options) {
      std::string names;
      for (const std::string& name : option.names) names += (names.empty() ? "" : ", ") + troff(name);
      text += fmt::format(".TP\n\\fB{}\\fR {}\n{}\n", names, option.value, troff(option.help));
    }
  }
  return text + ".SH EXIT STATUS\n" + troff(app.get_footer()) + "\n";
}

}  // namespace

Verb completion_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("completion", "what a shell completes, and the manual page");
  verb->group("");
  auto kind = std::make_shared<std::string>();
  verb->add_option("KIND", *kind, "bash, zsh, fish or man")
      ->required()
      ->check(CLI::IsMember({"bash", "zsh", "fish", "man"}));
  return {verb, [kind, &app] {
            const std::vector<VerbWords> tree = tree_of(app);
            if (*kind == "bash") return deliver({}, bash(tree));
            if (*kind == "zsh") return deliver({}, zsh(tree));
            return deliver({}, *kind == "fish" ? fish(tree) : man(tree, app));
          }};
}

}  // namespace corefeed::command
