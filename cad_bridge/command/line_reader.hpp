// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace corefeed::command {

/// Reads a file line by line with the memory of its longest line.
class LineReader {
 public:
  /// `is_open` tells whether it could be opened.
  explicit LineReader(const std::string& path);
  ~LineReader();
  LineReader(const LineReader&) = delete;
  LineReader& operator=(const LineReader&) = delete;

  bool is_open() const { return file_ >= 0; }
  /// The next line with its break; the last one may lack it. Valid until the next call. Nothing at the end,
  /// and where the file cannot be read on.
  std::optional<std::string_view> next();
  /// Of the system where reading failed (errno), else 0.
  int failure() const { return failure_; }
  /// Bytes up to the end of the last line given.
  std::uint64_t offset() const { return offset_; }

 private:
  bool fill();

  int file_;
  int failure_ = 0;
  bool ended_ = false;
  std::string buffer_;
  std::size_t begin_ = 0;  ///< in the buffer: what was not given yet
  std::uint64_t offset_ = 0;
};

}  // namespace corefeed::command
