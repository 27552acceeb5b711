// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_bytes.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

namespace corefeed::worker {
namespace {

Issue issue(const std::string& path, const char* code, Status status, std::string text) {
  return {code, Severity::error, status, {path, 0, 0, {}}, std::move(text)};
}

std::string reason(int error) { return std::generic_category().message(error); }

Issue not_opened(const std::string& path, int error) {
  const bool missing = error == ENOENT || error == ENOTDIR || error == ENAMETOOLONG || error == ELOOP;
  if (missing)
    return issue(path, "missing_file", Status::input,
                 fmt::format("there is no such file ({}); a STEP file was expected", reason(error)));
  return issue(path, "unreadable_file", Status::geometry,
               fmt::format("the file cannot be read: {}", reason(error)));
}

const char* nature(mode_t mode) {
  if (S_ISDIR(mode)) return "a folder";
  if (S_ISFIFO(mode)) return "a pipe";
  if (S_ISSOCK(mode)) return "a socket";
  return "a device";
}

Issue not_regular(const std::string& path, mode_t mode) {
  return issue(path, "no_regular_file", Status::input,
               fmt::format("this is {}; a STEP file was expected", nature(mode)));
}

/// Reads at given places, so that the descriptor stays at its first byte.
int read_all(int file, std::string& text, std::size_t most_bytes) {
  constexpr std::size_t step = std::size_t{1} << 20;
  while (text.size() <= most_bytes) {
    const std::size_t have = text.size();
    text.resize(have + std::min(step, most_bytes + 1 - have));
    ssize_t got = -1;
    do got = pread(file, text.data() + have, text.size() - have, static_cast<off_t>(have));
    while (got < 0 && errno == EINTR);
    if (got < 0) return errno;
    text.resize(have + static_cast<std::size_t>(got));
    if (got == 0) break;
  }
  return 0;
}

}  // namespace

Result<StepBytes> read_step_bytes(const std::string& path, std::size_t most_bytes) {
  struct stat facts {};
  if (path.empty() || path.find('\0') != std::string::npos) return not_opened(path, ENOENT);
  if (stat(path.c_str(), &facts) != 0) return not_opened(path, errno);
  if (!S_ISREG(facts.st_mode)) return not_regular(path, facts.st_mode);
  StepBytes bytes{Descriptor(open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY)), {}};
  if (bytes.file.number() < 0 || fstat(bytes.file.number(), &facts) != 0) return not_opened(path, errno);
  if (!S_ISREG(facts.st_mode)) return not_regular(path, facts.st_mode);
  const auto size = static_cast<std::size_t>(facts.st_size);
  if (size <= most_bytes) {
    bytes.text.reserve(size + 1);
    if (const int error = read_all(bytes.file.number(), bytes.text, most_bytes); error != 0)
      return not_opened(path, error);
  }
  if (size > most_bytes || bytes.text.size() > most_bytes)
    return issue(path, "file_too_large", Status::geometry,
                 fmt::format("the file holds {} bytes; {} are the limit", std::max(size, bytes.text.size()),
                             most_bytes));
  return bytes;
}

}  // namespace corefeed::worker
