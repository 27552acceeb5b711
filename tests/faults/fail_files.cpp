// SPDX-License-Identifier: Apache-2.0
// A library to be preloaded: the n-th call of one kind on a file goes wrong. COREFEED_FAULT_KIND is
// CALL:FAULT, such as "write:ENOSPC". Faults are the names of system errors, "short" (half of the bytes are
// written or read), and "kill" (half of the bytes are written, then the program is killed). See planted.hpp.
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdarg>
#include <cstddef>
#include <cstring>

#include "tests/faults/planted.hpp"

namespace {

using corefeed::faults::kind;
using corefeed::faults::places;

struct ErrorName {
  const char* name;
  int number;
};
constexpr ErrorName errors[] = {{"ENOSPC", ENOSPC}, {"EIO", EIO},     {"EACCES", EACCES}, {"EMFILE", EMFILE},
                                {"EINTR", EINTR},   {"EROFS", EROFS}, {"EDQUOT", EDQUOT}};

enum class Fault { none, error, part, kill };

/// What is planted into this call, with errno set for an error.
Fault planted(const char* call) {
  const std::size_t length = std::strlen(call);
  if (std::strncmp(kind(), call, length) != 0 || kind()[length] != ':' || !places.is_turn())
    return Fault::none;
  const char* const fault = kind() + length + 1;
  if (std::strcmp(fault, "short") == 0) return Fault::part;
  if (std::strcmp(fault, "kill") == 0) return Fault::kill;
  for (const ErrorName& error : errors) {
    if (std::strcmp(fault, error.name) == 0) errno = error.number;
  }
  return Fault::error;
}

template <class Function>
Function* real(Function* /*of the same kind*/, const char* name) {
  return reinterpret_cast<Function*>(dlsym(RTLD_NEXT, name));
}

/// A call that is made whole or not at all. A file that could not be closed is closed all the same.
template <class Call>
auto whole(const char* name, const Call& call) -> decltype(call()) {
  const Fault fault = planted(name);
  if (fault == Fault::kill) raise(SIGKILL);
  if (fault == Fault::none || fault == Fault::part) return call();
  if (std::strcmp(name, "close") == 0) {
    const int reason = errno;
    call();
    errno = reason;
  }
  return -1;
}

/// A call on so many bytes.
template <class Call>
ssize_t in_part(const char* name, std::size_t size, const Call& call) {
  const Fault fault = planted(name);
  if (fault == Fault::error) return -1;
  if (fault == Fault::none) return call(size);
  const ssize_t done = call((size + 1) / 2);
  if (fault == Fault::kill) raise(SIGKILL);
  return done;
}

}  // namespace

extern "C" {

int open(const char* path, int flags, ...) {
  static const auto next = real(&open, "open");
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(rest, mode_t) : 0;
  va_end(rest);
  return whole("open", [&] { return next(path, flags, mode); });
}

int open64(const char* path, int flags, ...) {
  static const auto next = real(&open64, "open64");
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(rest, mode_t) : 0;
  va_end(rest);
  return whole("open", [&] { return next(path, flags, mode); });
}

ssize_t read(int file, void* bytes, std::size_t size) {
  static const auto next = real(&read, "read");
  return in_part("read", size, [&](std::size_t most) { return next(file, bytes, most); });
}

ssize_t pread(int file, void* bytes, std::size_t size, off_t from) {
  static const auto next = real(&pread, "pread");
  return in_part("read", size, [&](std::size_t most) { return next(file, bytes, most, from); });
}

ssize_t write(int file, const void* bytes, std::size_t size) {
  static const auto next = real(&write, "write");
  return in_part("write", size, [&](std::size_t most) { return next(file, bytes, most); });
}

int fsync(int file) {
  static const auto next = real(&fsync, "fsync");
  return whole("fsync", [&] { return next(file); });
}

int close(int file) {
  static const auto next = real(&close, "close");
  return whole("close", [&] { return next(file); });
}

int rename(const char* from, const char* to) noexcept {
  static const auto next = real(&rename, "rename");
  return whole("rename", [&] { return next(from, to); });
}

int ftruncate(int file, off_t size) noexcept {
  static const auto next = real(&ftruncate, "ftruncate");
  return whole("ftruncate", [&] { return next(file, size); });
}

int fchmod(int file, mode_t mode) noexcept {
  static const auto next = real(&fchmod, "fchmod");
  return whole("fchmod", [&] { return next(file, mode); });
}
}
