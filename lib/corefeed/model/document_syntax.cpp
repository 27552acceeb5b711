// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/document_syntax.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <utility>

#include "corefeed/model/nearest.hpp"
#include "corefeed/model/text_file.hpp"
#include "corefeed/result.hpp"

namespace corefeed::model {
namespace {

using After = ReadingState::After;

constexpr std::string_view digits = "0123456789";
constexpr std::string_view word_characters =
    "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_+-.$";

SyntaxFault syntax(std::size_t offset, std::string text) { return {"syntax", offset, std::move(text)}; }

std::size_t skip_blanks(std::string_view text, std::size_t offset) {
  const std::size_t at = text.find_first_not_of(" \t\r\n", offset);
  return at == std::string_view::npos ? text.size() : at;
}

struct Next {
  std::size_t token = 0;
  bool behind_separator = false;
};

Next find_next(std::string_view text, const ReadingState& state) {
  const std::size_t at = skip_blanks(text, state.offset);
  const bool colon = state.after == After::key;
  const bool comma = state.after == After::value && state.depth > 0;
  if ((colon || comma) && at < text.size() && text[at] == (colon ? ':' : ',')) {
    return {skip_blanks(text, at + 1), true};
  }
  return {at, false};
}

/// What may stand where the parser stopped.
std::string_view expected(const ReadingState& state, bool behind_separator) {
  switch (state.after) {
    case After::start:
      return "a JSON value";
    case After::opening:
      return state.in_object ? "a key in double quotes or '}'" : "a value or ']'";
    case After::key:
      return behind_separator ? "a value" : "':' behind the key";
    case After::value:
      break;
  }
  if (state.depth == 0) return "nothing behind the end of the document";
  if (behind_separator) return state.in_object ? "a key in double quotes" : "a value";
  return state.in_object ? "',' or '}'" : "',' or ']'";
}

bool expects_key(const ReadingState& state, bool behind_separator) {
  return state.in_object &&
         (state.after == After::opening || (state.after == After::value && behind_separator));
}

SyntaxFault explain_end(std::string_view text, const ReadingState& state, bool behind_separator) {
  if (state.depth == 0 && state.after == After::start) {
    return syntax(text.size(), "the text is empty; expected a JSON value");
  }
  return syntax(text.size(),
                fmt::format("the text ends before the {} opened on line {} is closed; expected {}",
                            state.in_object ? "object" : "array", state.opened_line,
                            expected(state, behind_separator)));
}

/// The four hexadecimal digits of \uXXXX, if they stand at `offset`.
std::optional<unsigned> hex_digits(std::string_view text, std::size_t offset) {
  const std::string_view part = text.substr(std::min(offset, text.size()), 4);
  unsigned value = 0;
  const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), value, 16);
  if (part.size() != 4 || error != std::errc() || end != part.data() + 4) return std::nullopt;
  return value;
}

struct Escape {
  std::size_t length = 0;
  std::optional<SyntaxFault> fault;
};

Escape read_unicode_escape(std::string_view text, std::size_t at) {
  const std::optional<unsigned> first = hex_digits(text, at + 2);
  if (!first) {
    return {0, syntax(at, fmt::format("{} is no escape; expected four hexadecimal digits behind \\u",
                                      corefeed::quoted(text.substr(at, 6))))};
  }
  const bool high = *first >= 0xD800 && *first < 0xDC00;
  const bool low = *first >= 0xDC00 && *first < 0xE000;
  if (!high && !low) return {6, std::nullopt};
  if (high && text.substr(at + 6, 2) == "\\u") {
    const std::optional<unsigned> second = hex_digits(text, at + 8);
    if (second && *second >= 0xDC00 && *second < 0xE000) return {12, std::nullopt};
  }
  return {0, syntax(at, fmt::format("{} is half of a surrogate pair and stands for no character; expected a "
                                    "high half followed by a low half",
                                    corefeed::quoted(text.substr(at, 6))))};
}

Escape read_escape(std::string_view text, std::size_t at) {
  // A text that ends here is reported by the caller as a string that is not closed.
  if (at + 1 >= text.size()) return {1, std::nullopt};
  if (text[at + 1] == 'u') return read_unicode_escape(text, at);
  if (std::string_view("\"\\/bfnrt").find(text[at + 1]) != std::string_view::npos) return {2, std::nullopt};
  const std::size_t length = 1 + std::max<std::size_t>(utf8_length(text, at + 1), 1);
  return {0, syntax(at, fmt::format("{} is no escape; a backslash in a string is written \\\\",
                                    corefeed::quoted(text.substr(at, length))))};
}

/// What is wrong inside the string that begins at `start`; nothing if it is sound.
std::optional<SyntaxFault> explain_string(std::string_view text, std::size_t start) {
  std::size_t at = start + 1;
  while (at < text.size()) {
    const char c = text[at];
    if (c == '"') return std::nullopt;
    if (c == '\n' || c == '\r')
      return syntax(at, "the line ends inside a string; expected a closing double quote");
    if (static_cast<unsigned char>(c) < 0x20) {
      return syntax(at, fmt::format("a string holds the control byte {}; write it as an escape such as \\t",
                                    byte_name(c)));
    }
    if (c == '\\') {
      Escape escape = read_escape(text, at);
      if (escape.fault) return escape.fault;
      at += escape.length;
      continue;
    }
    const std::size_t length = utf8_length(text, at);
    if (length == 0) return SyntaxFault{"invalid_utf8", at, {}};
    at += length;
  }
  return syntax(text.size(), "the text ends inside a string; expected a closing double quote");
}

/// Why a word that begins like a number is none; empty if nothing particular is known.
std::string number_advice(std::string_view word) {
  const std::string_view unsigned_word = word.substr(word.starts_with('-') ? 1 : 0);
  if (word.starts_with('+')) return "leave out the leading '+'";
  if (unsigned_word.starts_with('.')) return "write a digit before the decimal point";
  if (unsigned_word.starts_with("0x") || unsigned_word.starts_with("0X")) return "write it in decimal digits";
  if (unsigned_word.size() > 1 && unsigned_word[0] == '0' && digits.find(unsigned_word[1]) != digits.npos) {
    return "leave out the leading zero";
  }
  const std::size_t point = word.find('.');
  if (point != word.npos && (point + 1 == word.size() || digits.find(word[point + 1]) == digits.npos)) {
    return "write a digit behind the decimal point";
  }
  if (word.find_first_not_of("0123456789+-.eE") == word.npos)
    return "expected a form such as 12, -0.5 or 1.5e-3";
  return "a number with a unit stands in double quotes";
}

bool equal_but_for_case(std::string_view a, std::string_view b) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  return std::ranges::equal(a, b, {}, lower, lower);
}

SyntaxFault explain_word(std::string_view word, std::size_t at, std::string_view wanted, bool key) {
  static constexpr std::array<std::string_view, 6> not_finite{"nan",  "-nan",     "inf",
                                                              "-inf", "infinity", "-infinity"};
  static constexpr std::array<std::string_view, 3> literals{"true", "false", "null"};
  if (key) return syntax(at, fmt::format("found {}; a key stands in double quotes", corefeed::quoted(word)));
  if (std::ranges::any_of(not_finite, [&](auto name) { return equal_but_for_case(word, name); })) {
    return syntax(at, fmt::format("{} is no JSON number; expected a finite number", corefeed::quoted(word)));
  }
  if (std::string_view("0123456789+-.").find(word[0]) != std::string_view::npos) {
    return syntax(at, fmt::format("{} is no JSON number; {}", corefeed::quoted(word), number_advice(word)));
  }
  if (const std::string literal = nearest(word, literals); !literal.empty()) {
    return syntax(
        at, fmt::format("found {}; expected {}, did you mean {}?", corefeed::quoted(word), wanted, literal));
  }
  return syntax(
      at, fmt::format("found {}; expected {}; text stands in double quotes", corefeed::quoted(word), wanted));
}

SyntaxFault explain_symbol(std::string_view text, std::size_t at, std::string_view wanted,
                           bool behind_comma) {
  const char c = text[at];
  if ((c == '}' || c == ']') && behind_comma) {
    return syntax(at, fmt::format("a comma stands before '{}'; leave out the last comma", c));
  }
  if (c == '/' || c == '#') {
    return syntax(at,
                  fmt::format("found {}; JSON has no comments, a remark may stand under a key that begins "
                              "with \"x-\"",
                              corefeed::quoted(text.substr(at, 2))));
  }
  if (c == '\'') return syntax(at, "found a single quote; keys and text stand in double quotes");
  const std::size_t length = utf8_length(text, at);
  if (length == 0) return {"invalid_utf8", at, {}};
  const std::string code_point = first_foreign_character(text.substr(at, length));
  return syntax(at, fmt::format("found {}{}{}; expected {}", corefeed::quoted(text.substr(at, length)),
                                code_point.empty() ? "" : " ", code_point, wanted));
}

/// Start of the word a fault stands in: "01" or "12mm" is read as a number and something glued to it.
std::size_t word_start(std::string_view text, const ReadingState& state, std::size_t token) {
  if (state.after != After::value || token != state.offset || token == 0) return token;
  const std::size_t before = text.find_last_not_of(word_characters, token - 1);
  return before == std::string_view::npos ? 0 : before + 1;
}

SyntaxFault explain_token(std::string_view text, const ReadingState& state, const Next& next) {
  const std::string_view wanted = expected(state, next.behind_separator);
  if (next.token >= text.size()) return explain_end(text, state, next.behind_separator);
  const char c = text[next.token];
  if (c == '"') {
    if (auto fault = explain_string(text, next.token)) return *fault;
    return syntax(next.token, fmt::format("found a string; expected {}", wanted));
  }
  if (word_characters.find(c) != std::string_view::npos) {
    const std::size_t start = word_start(text, state, next.token);
    const std::size_t end = std::min(text.find_first_not_of(word_characters, start), text.size());
    const std::string_view word = text.substr(start, end - start);
    const bool separator_missing =
        (state.after == After::key || state.after == After::value) && !next.behind_separator;
    if (separator_missing && start == next.token) {
      return syntax(start, fmt::format("found {}; expected {}", corefeed::quoted(word), wanted));
    }
    return explain_word(word, start, wanted, expects_key(state, next.behind_separator));
  }
  return explain_symbol(text, next.token, wanted, next.behind_separator && state.after == After::value);
}

}  // namespace

std::size_t next_token(std::string_view text, const ReadingState& state) {
  return find_next(text, state).token;
}

SyntaxFault explain_syntax(std::string_view text, const ReadingState& state) {
  SyntaxFault fault = explain_token(text, state, find_next(text, state));
  if (fault.code == "invalid_utf8") {
    fault.text =
        fmt::format("byte {} is no UTF-8 text; save the file as UTF-8", byte_name(text[fault.offset]));
  }
  return fault;
}

}  // namespace corefeed::model
