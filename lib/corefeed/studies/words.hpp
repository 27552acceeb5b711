// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include "corefeed/result.hpp"

/// What readers of a question's words have in common. Private to the library's sources.
namespace corefeed::studies {

/// An error of the command line.
inline Issue usage(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::usage;
  issue.text = std::move(text);
  return issue;
}

inline std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

}  // namespace corefeed::studies
