// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

/// The words of a STEP file (ISO 10303-21, clear text encoding), read one by one from its bytes. Nothing is
/// copied; a token points into the text it was read from.
namespace corefeed::worker {

enum class TokenKind : std::uint8_t {
  end,          ///< no more bytes
  instance,     ///< #12
  keyword,      ///< CARTESIAN_POINT, ISO-10303-21, !USER_WORD; a bare NAN or -INF comes as a keyword too
  text,         ///< 'it''s'
  number,       ///< integer or real
  enumeration,  ///< .MILLI.
  binary,       ///< "0F"
  resource,     ///< <https://...> of the third edition's ANCHOR and REFERENCE sections
  open,
  close,
  comma,
  equals,
  semicolon,
  omitted,  ///< $ or *
  broken    ///< not a word of the format; `Tokenizer::flaw` says why
};

/// What is wrong, and at which byte of the file.
struct Flaw {
  std::string code;
  std::size_t at = 0;
  std::string text;
};

struct Token {
  TokenKind kind = TokenKind::end;
  std::size_t at = 0;         ///< offset of the first byte
  std::string_view spelling;  ///< as written, with quotes, dots and sign
  std::uint32_t id = 0;       ///< of an instance name
};

class Tokenizer {
 public:
  explicit Tokenizer(std::string_view text) : text_(text) {}

  /// The next word; blanks, line ends of every kind and comments in between are skipped.
  Token next();
  /// Why the last token was `broken`.
  const Flaw& flaw() const { return flaw_; }

 private:
  bool skip_blanks();
  Token read_instance();
  Token read_keyword(std::size_t from);
  Token read_text();
  Token read_number();
  Token read_resource();
  Token read_enclosed(char mark, TokenKind kind, const char* what);
  Token take(TokenKind kind, std::size_t from, std::size_t to);
  Token broken(std::size_t at, std::string code, std::string text);

  std::string_view text_;
  std::size_t position_ = 0;
  Flaw flaw_;
};

/// Why a number may not reach the geometry kernel, or nothing. `bounded` asks for the size of a length:
/// numbers beyond 1e9 (mm) make modelling kernels loop, and so do non-zero ones below 1e-200.
std::optional<Flaw> judge_number(const Token& number, bool bounded);

/// True for NAN, INF and their kin, with or without a sign, in either case.
bool names_no_finite_number(std::string_view word);

/// The line of a byte, from 1; "\n", "\r\n" and a lone "\r" each end a line.
int line_of(std::string_view text, std::size_t at);

}  // namespace corefeed::worker
