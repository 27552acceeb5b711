// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Text from outside made fit for a terminal. Names in a model or a drawing may hold bytes that steer the
/// terminal, hide text, turn its direction or are no text at all.
namespace corefeed {

/// The text with such bytes and characters escaped ("\x1b", "\u{202e}") and everything else as it is. Line
/// breaks and tabs stay: for pages of many lines.
std::string printable(std::string_view text);

/// The first `most` characters on one line: line breaks and tabs are escaped too ("\n"). "..." stands for the
/// rest.
std::string printable_line(std::string_view text, std::size_t most);

/// The same in double quotes, with quotes and backslashes inside escaped; "..." stands behind the quotes.
std::string printable_quotation(std::string_view text, std::size_t most);

}  // namespace corefeed
