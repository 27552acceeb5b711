// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Inside of `parse_document`: says in a sentence why JSON text cannot go on where the parser stopped. The
/// parser finds faults; this explains them, so that no message depends on the wording of a library.
namespace corefeed::model {

/// How far the text has been understood.
struct ReadingState {
  enum class After { start, opening, key, value };

  std::size_t offset = 0;  ///< just behind the last key, scalar or bracket that was understood
  After after = After::start;
  bool in_object = false;  ///< of the innermost open bracket
  int depth = 0;           ///< open brackets
  int opened_line = 0;     ///< line of the innermost open bracket
};

/// Where the next token begins: behind blanks and behind the one comma or colon that may stand here.
std::size_t next_token(std::string_view text, const ReadingState& state);

struct SyntaxFault {
  std::string code;  ///< "syntax" or "invalid_utf8"
  std::size_t offset = 0;
  std::string text;
};

/// Explains why the parser could not go on from `state`.
SyntaxFault explain_syntax(std::string_view text, const ReadingState& state);

}  // namespace corefeed::model
