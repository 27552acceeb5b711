// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <string>
#include <utility>

#include "cad_bridge/worker/limits.hpp"

/// Running another program to its end: started without fork (the caller may have threads), watched by a
/// clock, and dead when this returns.
namespace corefeed::worker {

/// Owns a file descriptor.
class Descriptor {
 public:
  explicit Descriptor(int number = -1) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }
  ~Descriptor() { close(); }
  int number() const { return number_; }
  void close();

 private:
  int number_;
};

/// How a program ended.
struct ChildEnd {
  enum class Kind {
    exited,
    killed,       ///< by a signal
    wall_time,    ///< still running when the time was over; killed
    spoilt,       ///< sent what can no longer become a reply; killed
    not_started,  ///< `number` is the system's reason (errno)
    unknown       ///< another part of this process has taken the end status
  };
  Kind kind = Kind::not_started;
  int number = 0;                 ///< exit status, signal or errno
  std::string output;             ///< what it wrote on standard output
  std::string complaint;          ///< the beginning of what it wrote on standard error
  std::uint64_t peak_memory = 0;  ///< bytes, largest resident size
};

/// Runs `program` with one argument, the file as standard input, and no other open file of this process.
ChildEnd run_child(const std::string& program, const std::string& argument, const Descriptor& file,
                   const WorkerLimits& limits);

}  // namespace corefeed::worker
