// SPDX-License-Identifier: Apache-2.0
#include "tests/fuzz/oracle.hpp"

#include <stdlib.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "corefeed/model/text_file.hpp"

namespace corefeed::fuzz {
namespace {

/// 20 of one pass, the note that counts the others, and what a second pass (a table that the model names)
/// adds.
constexpr std::size_t most_issues = 200;
constexpr std::size_t longest_message = 65536;

bool steers_terminal(std::string_view text) {
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
  if (std::any_of(text.begin(), text.end(), control)) return true;
  // C1 controls, marks of direction.
  for (const std::string_view sign :
       {"\xC2\x80", "\xC2\x9B", "\xE2\x80\x8E", "\xE2\x80\xAE", "\xE2\x81\xA6"}) {
    if (text.find(sign) != std::string_view::npos) return true;
  }
  return false;
}

bool is_rule(std::string_view code) {
  const auto plain = [](char c) { return c == '_' || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); };
  return !code.empty() && std::all_of(code.begin(), code.end(), plain);
}

}  // namespace

void require(bool holds, std::string_view what) {
  if (holds) return;
  std::fprintf(stderr, "does not hold: %.*s\n", static_cast<int>(what.size()), what.data());
  std::abort();
}

bool same(double a, double b) { return a == b; }

void require_fit(const std::vector<Issue>& issues) {
  require(issues.size() <= most_issues, "reasons are of bounded number");
  for (const Issue& issue : issues) {
    require(is_rule(issue.code), "a reason names its rule");
    require(!issue.text.empty(), "a reason is told in words");
    const std::string told = describe(issue);
    require(told.size() <= longest_message, "a message is of bounded length");
    require(model::first_invalid_utf8(told) == std::string_view::npos, "a message is UTF-8");
    require(!steers_terminal(told), "a message does not steer the terminal");
  }
}

void require_sound(const std::vector<Issue>& issues, std::string_view text) {
  require(!issues.empty(), "a refusal has a reason");
  require_fit(issues);
  const auto lines =
      1 + std::count(text.begin(), text.end(), '\n') + std::count(text.begin(), text.end(), '\r');
  for (const Issue& issue : issues) {
    require(issue.status != Status::internal && issue.status != Status::done,
            "the input is at fault, not we");
    require(issue.place.line >= 0 && issue.place.line <= lines, "the line stands in the text");
  }
}

Chosen choose(std::string_view bytes, std::size_t choices) {
  if (bytes.empty()) return {};
  return {static_cast<unsigned char>(bytes.front()) % choices, bytes.substr(1)};
}

ScratchFolder::ScratchFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "corefeed-fuzz-XXXXXX").string();
  require(::mkdtemp(name.data()) != nullptr, "a folder can be made");
  folder_ = name;
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

std::string ScratchFolder::write(std::string_view name, std::string_view content) const {
  std::string target = path(name);
  std::ofstream file(target, std::ios::binary | std::ios::trunc);
  file.write(content.data(), static_cast<std::streamsize>(content.size()));
  file.close();
  require(file.good(), "a file can be written");
  return target;
}

}  // namespace corefeed::fuzz
