// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/names.hpp"

#include <algorithm>
#include <array>
#include <span>
#include <vector>

namespace corefeed::geometry {
namespace {

// Names are compared as ASCII: the words looked for are, and the locale must not matter.
bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
char lower(char c) { return is_upper(c) ? static_cast<char>(c - 'A' + 'a') : c; }
bool is_letter(char c) { return lower(c) >= 'a' && lower(c) <= 'z'; }

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), [](char c) { return lower(c); });
  return result;
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Lower-case words; a new one begins at anything but a letter and where "aB" changes case.
std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  bool inside = false;
  char previous = ' ';
  for (const char c : text) {
    const bool starts = is_letter(c) && (!inside || (is_upper(c) && !is_upper(previous)));
    if (starts) words.emplace_back();
    if (is_letter(c)) words.back() += lower(c);
    inside = is_letter(c);
    previous = c;
  }
  return words;
}

constexpr std::array<std::string_view, 4> flow_words{"air", "fluid", "flow", "volume"};
constexpr std::array<std::string_view, 5> core_words{"core", "matrix", "radiator", "cooler", "condenser"};
constexpr std::array<std::string_view, 3> entry_words{"in", "inlet", "from"};
constexpr std::array<std::string_view, 3> exit_words{"out", "outlet", "to"};

bool is_one_of(std::string_view word, std::span<const std::string_view> set) {
  return std::find(set.begin(), set.end(), word) != set.end();
}

bool made_of_flow_words(std::string_view word) {
  if (word.empty()) return false;
  while (!word.empty()) {
    const auto match = std::find_if(flow_words.begin(), flow_words.end(),
                                    [word](std::string_view each) { return word.starts_with(each); });
    if (match == flow_words.end()) return word == "s";
    word.remove_prefix(match->size());
  }
  return true;
}

template <class Predicate>
bool any_word(const Body& body, Predicate holds) {
  for (const std::string_view name :
       {last_component(body.name), std::string_view(body.product), std::string_view(body.own_name)}) {
    const auto words = words_of(name);
    if (std::any_of(words.begin(), words.end(), holds)) return true;
  }
  return false;
}

}  // namespace

std::string given_name(std::string_view name) {
  const std::string_view text = trimmed(name);
  const bool number = std::all_of(text.begin(), text.end(), [](char c) { return is_digit(c) || c == '#'; });
  if (number || text.starts_with("=>[") || lower(text) == "none") return {};
  return std::string(text);
}

std::optional<std::string> port_of_name(std::string_view name) {
  constexpr std::string_view prefix = "port:";
  name = trimmed(name);
  if (name.size() <= prefix.size() || lower(name.substr(0, prefix.size())) != prefix) return std::nullopt;
  const std::string_view port = trimmed(name.substr(prefix.size()));
  return port.empty() ? std::nullopt : std::optional(std::string(port));
}

std::optional<std::string> port_of(const Body& body) {
  if (auto port = port_of_name(body.own_name)) return port;
  std::string_view path = body.name;
  while (!path.empty()) {
    const std::string_view last = last_component(path);
    if (auto port = port_of_name(last)) return port;
    path.remove_suffix(std::min(path.size(), last.size() + 1));
  }
  return std::nullopt;
}

bool says_flow_volume(const Body& body) { return any_word(body, made_of_flow_words); }

bool says_duct(const Body& body) {
  return any_word(body, [](std::string_view word) { return word == "duct"; });
}

bool names_core(std::string_view name) {
  const auto words = words_of(name);
  return std::any_of(words.begin(), words.end(),
                     [](const std::string& word) { return is_one_of(word, core_words); });
}

bool says_core(const Body& body) {
  return any_word(body, [](std::string_view word) { return is_one_of(word, core_words); });
}

FlowEnd flow_end(std::string_view opening_name) {
  const auto dot = opening_name.rfind('.');
  if (dot != std::string_view::npos) opening_name.remove_prefix(dot + 1);
  const auto words = words_of(opening_name);
  const auto any = [&words](std::span<const std::string_view> set) {
    return std::any_of(words.begin(), words.end(),
                       [set](const std::string& word) { return is_one_of(word, set); });
  };
  const bool entry = any(entry_words);
  if (entry == any(exit_words)) return FlowEnd::unknown;
  return entry ? FlowEnd::entry : FlowEnd::exit;
}

bool name_has_word(std::string_view name, std::string_view word) {
  const auto words = words_of(name);
  return std::find(words.begin(), words.end(), word) != words.end();
}

std::string_view last_component(std::string_view path) {
  const auto slash = path.rfind('/');
  return slash == std::string_view::npos ? path : path.substr(slash + 1);
}

}  // namespace corefeed::geometry
