// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/atomic_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <pthread.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdint>
#include <filesystem>
#include <system_error>
#include <utility>

namespace corefeed::reports {
namespace {

namespace fs = std::filesystem;

/// 0, or the system's reason (errno).
using Reason = int;

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() { close(); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }
  /// A disk that is full may say so only here.
  Reason close() {
    const int number = std::exchange(number_, -1);
    // After EINTR the descriptor is closed all the same (Linux, close(2)).
    return number >= 0 && ::close(number) != 0 && errno != EINTR ? errno : 0;
  }

 private:
  int number_;
};

class SignalsHeld {
 public:
  SignalsHeld() {
    sigset_t interrupts;
    sigemptyset(&interrupts);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&interrupts, signal);
    pthread_sigmask(SIG_BLOCK, &interrupts, &before_);
  }
  ~SignalsHeld() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;

 private:
  sigset_t before_{};
};

Reason write_all(int file, std::string_view content) {
  while (!content.empty()) {
    const ssize_t written = write(file, content.data(), content.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return written < 0 ? errno : EIO;
    content.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

Reason flush(int file) {
  int done = -1;
  do done = fsync(file);
  while (done != 0 && errno == EINTR);
  // Pipes, devices and some file systems know nothing to flush.
  return done == 0 || errno == EINVAL || errno == EROFS || errno == ENOTSUP ? 0 : errno;
}

/// Where a chain of links ends, also when nothing stands there yet.
Reason follow_links(fs::path& path) {
  constexpr int most_links = 40;
  for (int link = 0; link < most_links; ++link) {
    std::error_code error;
    const fs::path target = fs::read_symlink(path, error);
    if (error) return 0;
    path = target.is_absolute() ? target : path.parent_path() / target;
  }
  return ELOOP;
}

std::string random_name() {
  std::uint64_t number = 0;
  if (getrandom(&number, sizeof number, 0) != sizeof number) return {};
  return fmt::format(".corefeed-{:016x}.tmp", number);
}

Reason write_in_place(const std::string& path, std::string_view content) {
  Descriptor file(open(path.c_str(), O_WRONLY | O_CLOEXEC | O_NOCTTY));
  if (file.number() < 0) return errno;
  if (const Reason reason = write_all(file.number(), content)) return reason;
  if (const Reason reason = flush(file.number())) return reason;
  return file.close();
}

Reason fill(const fs::path& path, std::string_view content, const struct stat* old) {
  constexpr mode_t usual = 0666;  // less the umask
  Descriptor file(open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, usual));
  if (file.number() < 0) return errno;
  if (old != nullptr && fchmod(file.number(), old->st_mode & 07777) != 0) return errno;
  if (const Reason reason = write_all(file.number(), content)) return reason;
  if (const Reason reason = flush(file.number())) return reason;
  return file.close();
}

Reason replace(const fs::path& target, std::string_view content, const struct stat* old) {
  const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
  const std::string name = random_name();
  if (name.empty()) return errno;
  const fs::path fresh = folder / name;
  const SignalsHeld held;
  Reason reason = fill(fresh, content, old);
  if (reason == 0 && rename(fresh.c_str(), target.c_str()) != 0) reason = errno;
  if (reason != 0) {
    if (reason != EEXIST) unlink(fresh.c_str());
    return reason;
  }
  // The new name itself has to reach the disk; the file is whole either way.
  const Descriptor opened(open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  return opened.number() < 0 ? 0 : flush(opened.number());
}

Reason write_whole(const std::string& path, std::string_view content) {
  if (path.empty() || path.find('\0') != std::string::npos) return ENOENT;
  struct stat old {};
  const bool exists = stat(path.c_str(), &old) == 0;
  if (!exists && errno != ENOENT) return errno;
  if (exists && S_ISDIR(old.st_mode)) return EISDIR;
  if (exists && !S_ISREG(old.st_mode)) return write_in_place(path, content);
  // Renaming would replace a file that its owner has protected from writing.
  if (exists && faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) != 0) return errno;
  fs::path target(path);
  if (const Reason reason = follow_links(target)) return reason;
  if (!target.has_filename()) return ENOENT;
  return replace(target, content, exists ? &old : nullptr);
}

}  // namespace

std::vector<Issue> write_file(const std::string& path, std::string_view content) {
  const Reason reason = write_whole(path, content);
  if (reason == 0) return {};
  Issue issue;
  issue.code = "cannot_write";
  issue.status = Status::output;
  issue.place.file = path;
  issue.text = fmt::format("the file cannot be written: {}", std::generic_category().message(reason));
  return {issue};
}

}  // namespace corefeed::reports
