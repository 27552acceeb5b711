// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/model/document.hpp"

/// What tests of whole classes of JSON text need.
namespace corefeed::model {

/// "accepted", or code and place of the first issue: "syntax 1:3".
inline std::string verdict(const std::string& text) {
  const auto document = parse_document(text, "t");
  if (document.ok()) return "accepted";
  const Issue& issue = document.issues()[0];
  return issue.code + " " + std::to_string(issue.place.line) + ":" + std::to_string(issue.place.column);
}

inline std::string refused_at(std::size_t column, const std::string& code = "syntax", std::size_t line = 1) {
  return code + " " + std::to_string(line) + ":" + std::to_string(column);
}

/// The text of an array's only string, or why there is none.
inline std::string only_text(const std::string& text) {
  const auto document = parse_document(text, "t");
  return document.ok() ? document.value().root.items.at(0).text : describe(document.issues()[0]);
}

inline char as_char(int byte) { return static_cast<char>(byte); }

/// UTF-8 of RFC 3629 section 3.
inline std::string utf8(unsigned point) {
  const auto tail = [&](int shift) { return as_char(static_cast<int>(0x80 | ((point >> shift) & 0x3F))); };
  if (point < 0x80) return {as_char(static_cast<int>(point))};
  if (point < 0x800) return {as_char(static_cast<int>(0xC0 | (point >> 6))), tail(0)};
  if (point < 0x10000) return {as_char(static_cast<int>(0xE0 | (point >> 12))), tail(6), tail(0)};
  return {as_char(static_cast<int>(0xF0 | (point >> 18))), tail(12), tail(6), tail(0)};
}

}  // namespace corefeed::model
