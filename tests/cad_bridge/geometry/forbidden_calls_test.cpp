// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/forbidden_calls.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <thread>

namespace corefeed::geometry {
namespace {

/// Runs behind the filter in a process of its own; gives how it ended as wait() tells it.
template <class Body>
int behind_the_filter(Body body) {
  const pid_t child = fork();
  if (child == 0) {
    if (!forbid_calls()) _exit(99);
    _exit(body());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return status;
}

/// 0 where the call was refused.
int refused(long result) { return result == -1 && errno == EPERM ? 0 : 1; }

class ForbiddenCalls : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "corefeed-test-XXXXXX").string();
    ASSERT_NE(mkdtemp(name.data()), nullptr);
    folder = name;
    std::ofstream(folder / "file") << "kept";
    if (behind_the_filter([] { return 0; }) == 99 << 8) GTEST_SKIP() << "the system knows no such filter";
  }
  void TearDown() override {
    EXPECT_EQ(std::filesystem::file_size(folder / "file"), 4u);
    EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder), {}), 1);
    std::filesystem::remove_all(folder);
  }

  std::string path(const char* name) const { return (folder / name).string(); }
  std::filesystem::path folder;
};

TEST_F(ForbiddenCalls, NothingIsWritten) {
  const std::string file = path("file");
  const std::string fresh = path("fresh");
  for (const int flags : {O_WRONLY, O_RDWR, O_RDONLY | O_TRUNC, O_WRONLY | O_APPEND})
    EXPECT_EQ(behind_the_filter([&] { return refused(open(file.c_str(), flags)); }), 0) << flags;
  EXPECT_EQ(behind_the_filter([&] { return refused(open(fresh.c_str(), O_RDONLY | O_CREAT, 0600)); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(unlink(file.c_str())); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(rename(file.c_str(), fresh.c_str())); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(truncate(file.c_str(), 0)); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(chmod(file.c_str(), 0)); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(mkdir(fresh.c_str(), 0700)); }), 0);
  EXPECT_EQ(behind_the_filter([&] { return refused(symlink(file.c_str(), fresh.c_str())); }), 0);
}

TEST_F(ForbiddenCalls, NothingIsStartedOrReached) {
  EXPECT_EQ(behind_the_filter([] { return refused(fork()); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(syscall(SYS_clone, SIGCHLD, 0, 0, 0, 0)); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(execl("/bin/true", "true", nullptr)); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(socket(AF_INET, SOCK_STREAM, 0)); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(socket(AF_UNIX, SOCK_STREAM, 0)); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(kill(getppid(), 0)); }), 0);
  EXPECT_EQ(behind_the_filter([] { return refused(syscall(SYS_tgkill, getppid(), getppid(), 0)); }), 0);
}

TEST_F(ForbiddenCalls, WhatMeasuringNeedsIsLeft) {
  const std::string file = path("file");
  EXPECT_EQ(behind_the_filter([&] {
              char bytes[8];
              const int opened = open(file.c_str(), O_RDONLY | O_CLOEXEC);
              return opened >= 0 && read(opened, bytes, sizeof bytes) == 4 ? 0 : 1;
            }),
            0);
  EXPECT_EQ(behind_the_filter([] {
              int made = 1;
              std::thread([&made] { made = 0; }).join();
              return made;
            }),
            0);
  // How it died is told to the parent.
  const int status = behind_the_filter([]() -> int { std::abort(); });
  ASSERT_TRUE(WIFSIGNALED(status));
  EXPECT_EQ(WTERMSIG(status), SIGABRT);
}

}  // namespace
}  // namespace corefeed::geometry
