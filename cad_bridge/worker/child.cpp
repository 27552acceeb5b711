// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/child.hpp"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <string_view>
#include <vector>

#include "cad_bridge/worker/reply.hpp"
#include "corefeed/interruption.hpp"

extern char** environ;

namespace corefeed::worker {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr std::size_t complaint_bytes = 4096;
/// How often a child whose pipes stay open is asked whether it has ended (a grandchild may hold them open).
constexpr milliseconds patience{50};

/// Above the three standard numbers, so that none is overwritten when a host has closed its own.
Descriptor lifted(int number) {
  Descriptor low(number);
  return Descriptor(number < 0 ? -1 : fcntl(number, F_DUPFD_CLOEXEC, 3));
}

struct Pipe {
  Descriptor read;
  Descriptor write;

  bool open() {
    std::array<int, 2> ends{-1, -1};
    if (pipe2(ends.data(), O_CLOEXEC) != 0) return false;
    read = lifted(ends[0]);
    write = lifted(ends[1]);
    return read.number() >= 0 && write.number() >= 0 && fcntl(read.number(), F_SETFL, O_NONBLOCK) == 0;
  }
};

class SpawnSettings {
 public:
  SpawnSettings() {
    posix_spawnattr_init(&attributes_);
    posix_spawn_file_actions_init(&actions_);
  }
  ~SpawnSettings() {
    posix_spawnattr_destroy(&attributes_);
    posix_spawn_file_actions_destroy(&actions_);
  }
  SpawnSettings(const SpawnSettings&) = delete;
  SpawnSettings& operator=(const SpawnSettings&) = delete;

  int fill(int file, int output, int complaint) {
    sigset_t none;
    sigset_t all;
    sigemptyset(&none);
    sigfillset(&all);
    constexpr short flags = POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF;
    int error = posix_spawnattr_setflags(&attributes_, flags);
    if (error == 0) error = posix_spawnattr_setpgroup(&attributes_, 0);
    if (error == 0) error = posix_spawnattr_setsigmask(&attributes_, &none);
    if (error == 0) error = posix_spawnattr_setsigdefault(&attributes_, &all);
    if (error == 0) error = posix_spawn_file_actions_adddup2(&actions_, file, 0);
    if (error == 0) error = posix_spawn_file_actions_adddup2(&actions_, output, 1);
    if (error == 0) error = posix_spawn_file_actions_adddup2(&actions_, complaint, 2);
    if (error == 0) error = posix_spawn_file_actions_addclosefrom_np(&actions_, 3);
    return error;
  }

  int spawn(pid_t& child, const std::string& program, const std::string& argument, std::string limits) {
    std::vector<char*> environment;
    for (char** entry = environ; entry != nullptr && *entry != nullptr; ++entry)
      if (!std::string_view(*entry).starts_with("COREFEED_WORKER_LIMITS=")) environment.push_back(*entry);
    environment.push_back(limits.data());
    environment.push_back(nullptr);
    std::string name = program;
    std::string only = argument;
    std::array<char*, 3> arguments{name.data(), only.data(), nullptr};
    return posix_spawn(&child, program.c_str(), &actions_, &attributes_, arguments.data(),
                       environment.data());
  }

 private:
  posix_spawnattr_t attributes_{};
  posix_spawn_file_actions_t actions_{};
};

/// A started program; dead and reaped at the latest when this goes.
class Child {
 public:
  explicit Child(pid_t id) : id_(id) {}
  ~Child() {
    if (id_ > 0) finish();
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  bool ended() const {
    siginfo_t info{};
    if (waitid(P_PID, static_cast<id_t>(id_), &info, WEXITED | WNOHANG | WNOWAIT) != 0) return errno != EINTR;
    return info.si_pid == id_;
  }

  /// Kills what is left of the group (grandchildren too) and takes the end status.
  ChildEnd finish() {
    kill(-id_, SIGKILL);
    ChildEnd end;
    int status = 0;
    rusage usage{};
    pid_t taken = -1;
    do taken = wait4(id_, &status, 0, &usage);
    while (taken < 0 && errno == EINTR);
    id_ = 0;
    end.peak_memory = static_cast<std::uint64_t>(std::max(usage.ru_maxrss, 0L)) * 1024;
    end.kind = taken < 0             ? ChildEnd::Kind::unknown
               : WIFSIGNALED(status) ? ChildEnd::Kind::killed
                                     : ChildEnd::Kind::exited;
    end.number = WIFSIGNALED(status) ? WTERMSIG(status) : WEXITSTATUS(status);
    return end;
  }

 private:
  pid_t id_;
};

/// Reads what is there. Returns false at the end of the pipe.
bool drain(int pipe, std::string& into, std::size_t most) {
  std::array<char, 65536> buffer;
  while (true) {
    const ssize_t got = read(pipe, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return errno == EAGAIN;
    if (got == 0) return false;
    const std::size_t room = most - std::min(most, into.size());
    into.append(buffer.data(), std::min(room, static_cast<std::size_t>(got)));
    if (into.size() == most) return true;
  }
}

/// Listens until the program has ended, the time is over or the reply is spoilt.
ChildEnd listen(Child& child, Pipe& output, Pipe& complaint, const WorkerLimits& limits) {
  const auto deadline = Clock::now() + std::chrono::duration_cast<Clock::duration>(
                                           std::chrono::duration<double>(limits.wall_seconds));
  const std::size_t most = limits.reply_bytes + 64;  // the header line is short
  std::string said;
  std::string complained;
  ChildEnd::Kind cause = ChildEnd::Kind::exited;
  std::array<pollfd, 2> watched{{{output.read.number(), POLLIN, 0}, {complaint.read.number(), POLLIN, 0}}};
  milliseconds nap{1};
  while (cause == ChildEnd::Kind::exited) {
    interruption_point();
    const bool over = child.ended();
    if (watched[0].fd >= 0 && !drain(watched[0].fd, said, most)) watched[0].fd = -1;
    if (watched[1].fd >= 0) {
      std::string chunk;
      if (!drain(watched[1].fd, chunk, complaint_bytes)) watched[1].fd = -1;
      complained += chunk.substr(0, complaint_bytes - complained.size());
    }
    if (over) break;
    if (reply_complete(said, limits.reply_bytes)) cause = ChildEnd::Kind::spoilt;
    if (Clock::now() >= deadline) cause = ChildEnd::Kind::wall_time;
    // With its output closed only the end is left to wait for, and it is near.
    nap = watched[0].fd < 0 ? std::min(2 * nap, patience) : patience;
    const auto left = std::chrono::ceil<milliseconds>(deadline - Clock::now());
    if (cause == ChildEnd::Kind::exited)
      poll(watched.data(), watched.size(), static_cast<int>(std::clamp(left, milliseconds{0}, nap).count()));
    if (watched[0].fd >= 0) nap = milliseconds{1};
  }
  ChildEnd end = child.finish();
  if (cause != ChildEnd::Kind::exited) end.kind = cause;
  end.output = std::move(said);
  end.complaint = std::move(complained);
  return end;
}

ChildEnd not_started(int error) {
  ChildEnd end;
  end.number = error;
  return end;
}

}  // namespace

void Descriptor::close() {
  if (number_ >= 0) ::close(std::exchange(number_, -1));
}

ChildEnd run_child(const std::string& program, const std::string& argument, const Descriptor& file,
                   const WorkerLimits& limits) {
  Pipe output;
  Pipe complaint;
  const Descriptor input(fcntl(file.number(), F_DUPFD_CLOEXEC, 3));
  if (input.number() < 0 || !output.open() || !complaint.open()) return not_started(errno);
  SpawnSettings settings;
  int error = settings.fill(input.number(), output.write.number(), complaint.write.number());
  pid_t id = 0;
  if (error == 0) error = settings.spawn(id, program, argument, limits_entry(limits));
  if (error != 0) return not_started(error);
  Child child(id);
  output.write.close();
  complaint.write.close();
  limit_process(id, limits);
  return listen(child, output, complaint, limits);
}

}  // namespace corefeed::worker
