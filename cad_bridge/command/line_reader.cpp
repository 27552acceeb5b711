// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/line_reader.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>

namespace corefeed::command {

LineReader::LineReader(const std::string& path) : file_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {
  if (file_ < 0) failure_ = errno;
}

LineReader::~LineReader() {
  if (file_ >= 0) ::close(file_);
}

bool LineReader::fill() {
  constexpr std::size_t piece = 1U << 18U;
  buffer_.erase(0, begin_);
  begin_ = 0;
  const std::size_t had = buffer_.size();
  buffer_.resize(had + piece);
  ssize_t got = -1;
  do got = ::read(file_, buffer_.data() + had, piece);
  while (got < 0 && errno == EINTR);
  if (got < 0) failure_ = errno;
  buffer_.resize(had + static_cast<std::size_t>(got > 0 ? got : 0));
  return got > 0;
}

std::optional<std::string_view> LineReader::next() {
  std::size_t looked = 0;
  while (is_open()) {
    const std::size_t end = buffer_.find('\n', begin_ + looked);
    if (end != std::string::npos || (ended_ && begin_ < buffer_.size())) {
      const std::size_t size = (end == std::string::npos ? buffer_.size() : end + 1) - begin_;
      const std::string_view line = std::string_view(buffer_).substr(begin_, size);
      begin_ += size;
      offset_ += size;
      return line;
    }
    if (ended_) return std::nullopt;
    looked = buffer_.size() - begin_;
    ended_ = !fill();
    if (failure_ != 0) return std::nullopt;
  }
  return std::nullopt;
}

}  // namespace corefeed::command
