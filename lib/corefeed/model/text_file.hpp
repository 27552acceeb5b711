// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "corefeed/result.hpp"

/// Getting the bytes of a user's text file into memory, and saying where and why they are not the text that
/// was expected. Shared by the readers of model files and of tables.
namespace corefeed::model {

/// The whole content of a regular file. The size is tested before anything is read, and a file that grows
/// meanwhile is cut off by the same test. Issues: "missing_file", "not_a_file" (a folder, device, pipe or
/// socket), "unreadable_file", "file_too_large".
Result<std::string> read_text_file(const std::string& path, std::size_t byte_limit);

/// What other kind of file these bytes begin like, as words for a message ("UTF-16 text", "a zip archive
/// ..."), or empty where nothing speaks against plain text.
std::string looks_like(std::string_view bytes);

/// The text without the byte order mark of UTF-8 that some editors put in front.
std::string_view without_byte_order_mark(std::string_view text);

/// Where a byte stands, as an editor shows it: both from 1, columns in characters rather than bytes.
struct TextPosition {
  int line = 1;
  int column = 1;
};
TextPosition text_position(std::string_view text, std::size_t offset);

/// Offset of the first byte that is not part of well-formed UTF-8 (RFC 3629), or npos.
std::size_t first_invalid_utf8(std::string_view text);

/// Length in bytes of the well-formed UTF-8 character at `offset`, 0 if there is none.
std::size_t utf8_length(std::string_view text, std::size_t offset);

/// A byte as it stands in messages: "0x1B".
std::string byte_name(char byte);

}  // namespace corefeed::model
