// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/limits.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <memory>

namespace corefeed::worker {
namespace {

/// Runs in a process of its own, as limits cannot be taken back; gives its exit status, or -1.
template <class Body>
int alone(Body body) {
  const pid_t child = fork();
  if (child == 0) _exit(body());
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

rlim_t soft(__rlimit_resource what) {
  rlimit limit{};
  getrlimit(what, &limit);
  return limit.rlim_cur;
}

TEST(Limits, of_this_process_hold) {
#ifdef COREFEED_SANITIZED
  GTEST_SKIP() << "a sanitizer takes terabytes of addresses, so that none are bounded";
#endif
  EXPECT_EQ(alone([] {
              WorkerLimits limits;
              limits.memory = std::uint64_t{1} << 40;
              if (!limit_this_process(limits)) return 1;
              if (soft(RLIMIT_AS) != limits.memory || soft(RLIMIT_CPU) != 60) return 2;
              if (soft(RLIMIT_FSIZE) != 0 || soft(RLIMIT_CORE) != 0 || soft(RLIMIT_NOFILE) != 64) return 3;
              int death = 0;
              prctl(PR_GET_PDEATHSIG, &death);
              if (death != SIGKILL || prctl(PR_GET_NO_NEW_PRIVS, 0, 0, 0, 0) != 1) return 4;
              return 0;
            }),
            0);
}

TEST(Limits, memory_that_runs_out_ends_the_program_with_its_own_status) {
#ifdef COREFEED_SANITIZED
  GTEST_SKIP() << "a sanitizer takes terabytes of addresses, so that none are bounded";
#endif
  EXPECT_EQ(alone([] {
              WorkerLimits limits;
              limits.memory = std::uint64_t{300} << 20;
              if (!limit_this_process(limits)) return 1;
              std::array<std::unique_ptr<char[]>, 8> blocks;
              for (auto& block : blocks) block = std::make_unique<char[]>(std::size_t{100} << 20);
              return 0;
            }),
            out_of_memory_status);
}

TEST(Limits, are_told_through_the_environment) {
  WorkerLimits limits;
  limits.memory = std::uint64_t{1} << 40;
  limits.cpu_seconds = 17;
  limits.open_files = 40;
  const std::string entry = limits_entry(limits);
  const std::size_t equals = entry.find('=');
  const std::string name = entry.substr(0, equals);
  const std::string value = entry.substr(equals + 1);
  EXPECT_EQ(name, "COREFEED_WORKER_LIMITS");
  const auto told = [&](const std::string& text) {
    return alone([&] {
      setenv(name.c_str(), text.c_str(), 1);
      if (!limit_this_process_as_told()) return 1;
      return soft(RLIMIT_CPU) == 17 && soft(RLIMIT_NOFILE) == 40 ? 0 : 2;
    });
  };
  EXPECT_EQ(told(value), 0);
  EXPECT_EQ(told("1099511627776,17,40,1234567"), 1);  // another parent: the real one has ended
  EXPECT_EQ(told("lots"), 1);
}

TEST(Limits, a_bound_process_dies_with_its_parent) {
  std::array<int, 2> ready{};
  std::array<int, 2> alive{};
  ASSERT_EQ(pipe(ready.data()), 0);
  ASSERT_EQ(pipe(alive.data()), 0);
  const pid_t parent = fork();
  if (parent == 0) {
    if (fork() == 0) {
      limit_this_process(WorkerLimits());
      if (write(ready[1], "r", 1) != 1) _exit(1);
      while (true) pause();
    }
    char byte = 0;
    if (read(ready[0], &byte, 1) != 1) _exit(1);
    raise(SIGTERM);
  }
  close(alive[1]);
  close(ready[1]);
  int status = 0;
  waitpid(parent, &status, 0);
  EXPECT_TRUE(WIFSIGNALED(status));
  // The writing end is held by the grandchild alone: it closes when that dies.
  pollfd end{alive[0], POLLIN, 0};
  EXPECT_EQ(poll(&end, 1, 5000), 1);
  close(alive[0]);
  close(ready[0]);
}

}  // namespace
}  // namespace corefeed::worker
