// SPDX-License-Identifier: Apache-2.0
#include "corefeed/printable.hpp"

#include <array>
#include <charconv>
#include <cstdint>
#include <utility>

namespace corefeed {
namespace {

struct Character {
  std::uint32_t code = 0;
  std::size_t bytes = 1;
  bool valid = false;
};

/// The first character of UTF-8 text; over-long forms, surrogates and cut sequences are invalid (RFC 3629).
Character first_character(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned lead = byte(0);
  if (lead < 0x80) return {lead, 1, true};
  const std::size_t size = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < size) return {};
  std::uint32_t code = lead & (0x7Fu >> size);
  for (std::size_t i = 1; i < size; ++i) {
    if ((byte(i) & 0xC0u) != 0x80u) return {};
    code = (code << 6) | (byte(i) & 0x3Fu);
  }
  constexpr std::array<std::uint32_t, 5> smallest{0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < smallest[size] || code > 0x10FFFF || surrogate) return {};
  return {code, size, true};
}

/// Characters that steer a terminal, hide themselves or pass for a blank: C0 and C1 controls, odd spaces,
/// zero-width and bidirectional marks, line separators, byte-order mark, interlinear marks, language tags.
bool steers_or_hides(std::uint32_t code) {
  struct Range {
    std::uint32_t first, last;
  };
  constexpr std::array<Range, 12> ranges{{{0, 0x1F},
                                          {0x7F, 0xA0},
                                          {0xAD, 0xAD},
                                          {0x61C, 0x61C},
                                          {0x180E, 0x180E},
                                          {0x2000, 0x200F},
                                          {0x2028, 0x202F},
                                          {0x205F, 0x206F},
                                          {0x3000, 0x3000},
                                          {0xFEFF, 0xFEFF},
                                          {0xFFF9, 0xFFFB},
                                          {0xE0000, 0xE0FFF}}};
  for (const Range& range : ranges) {
    if (code >= range.first && code <= range.last) return true;
  }
  return false;
}

std::string hexadecimal(std::uint32_t code, std::size_t width) {
  std::array<char, 8> digits{};
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), code, 16).ptr;
  std::string text(digits.data(), end);
  if (text.size() < width) text.insert(0, width - text.size(), '0');
  return text;
}

void append_escaped(std::string& out, std::string_view bytes, const Character& character) {
  if (!character.valid) {
    out += "\\x" + hexadecimal(static_cast<unsigned char>(bytes[0]), 2);
  } else if (character.code == '\n') {
    out += "\\n";
  } else if (character.code == '\t') {
    out += "\\t";
  } else if (character.code == '\r') {
    out += "\\r";
  } else if (!steers_or_hides(character.code)) {
    out += bytes;
  } else if (character.code < 0x80) {
    out += "\\x" + hexadecimal(character.code, 2);
  } else {
    out += "\\u{" + hexadecimal(character.code, 4) + "}";
  }
}

struct Escaped {
  std::string text;
  bool whole = true;
};

/// The first `limit` characters, escaped; `escape_quotes` also guards what would end or fake a quotation.
Escaped escaped(std::string_view text, std::size_t limit, bool escape_quotes) {
  Escaped result;
  for (std::size_t count = 0; !text.empty(); ++count) {
    if (count == limit) return {std::move(result.text), false};
    const Character character = first_character(text);
    const std::string_view bytes = text.substr(0, character.bytes);
    if (escape_quotes && (bytes == "\"" || bytes == "\\")) result.text += '\\';
    append_escaped(result.text, bytes, character);
    text.remove_prefix(character.bytes);
  }
  return result;
}

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const Character character = first_character(text);
    const std::string_view bytes = text.substr(0, character.bytes);
    if (bytes == "\n" || bytes == "\t") {
      result += bytes;
    } else {
      append_escaped(result, bytes, character);
    }
    text.remove_prefix(character.bytes);
  }
  return result;
}

std::string printable_line(std::string_view text, std::size_t most) {
  const Escaped part = escaped(text, most, false);
  return part.whole ? part.text : part.text + "...";
}

std::string printable_quotation(std::string_view text, std::size_t most) {
  const Escaped part = escaped(text, most, true);
  return '"' + part.text + (part.whole ? "\"" : "\"...");
}

}  // namespace corefeed
