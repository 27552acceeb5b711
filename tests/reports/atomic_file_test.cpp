// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/atomic_file.hpp"

#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <thread>
#include <vector>

namespace corefeed::reports {
namespace {

namespace fs = std::filesystem;

class AtomicFile : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "corefeed-test-XXXXXX").string();
    ASSERT_NE(mkdtemp(name.data()), nullptr);
    folder = name;
  }
  void TearDown() override { fs::remove_all(folder); }

  static std::string content(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
  }
  static void put(const fs::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
  }
  static std::string write_to(const fs::path& path, std::string_view text) {
    const auto issues = write_file(path.string(), text);
    if (issues.empty()) return "written";
    EXPECT_EQ(issues.size(), 1u);
    EXPECT_EQ(issues.front().code, "cannot_write");
    EXPECT_EQ(issues.front().status, Status::output);
    EXPECT_EQ(issues.front().place.file, path.string());
    return issues.front().text;
  }
  std::ptrdiff_t entries() const {
    return std::distance(fs::directory_iterator(folder), fs::directory_iterator());
  }

  fs::path folder;
};

TEST_F(AtomicFile, writes_new_files_and_replaces_old_ones) {
  const std::string binary("a\0b\r\n\xFF", 6);
  EXPECT_EQ(write_to(folder / "new", binary), "written");
  EXPECT_EQ(content(folder / "new"), binary);
  EXPECT_EQ(write_to(folder / "new", ""), "written");
  EXPECT_EQ(content(folder / "new"), "");
  const std::string large(3'000'000, 'x');
  EXPECT_EQ(write_to(folder / "new", large), "written");
  EXPECT_EQ(content(folder / "new"), large);
  EXPECT_EQ(entries(), 1);
}

TEST_F(AtomicFile, a_bare_name_is_written_into_the_working_folder) {
  const fs::path before = fs::current_path();
  fs::current_path(folder);
  EXPECT_EQ(write_to("bare", "text"), "written");
  fs::current_path(before);
  EXPECT_EQ(content(folder / "bare"), "text");
}

TEST_F(AtomicFile, permissions_follow_the_old_file_or_the_mask) {
  put(folder / "old", "old");
  fs::permissions(folder / "old", static_cast<fs::perms>(0640));
  EXPECT_EQ(write_to(folder / "old", "new"), "written");
  EXPECT_EQ(fs::status(folder / "old").permissions(), static_cast<fs::perms>(0640));
  const mode_t before = umask(027);
  EXPECT_EQ(write_to(folder / "fresh", "new"), "written");
  umask(before);
  EXPECT_EQ(fs::status(folder / "fresh").permissions(), static_cast<fs::perms>(0640));
}

TEST_F(AtomicFile, links_are_written_through) {
  fs::create_directory(folder / "real");
  put(folder / "real" / "file", "old");
  fs::create_symlink("real/file", folder / "link");
  fs::create_symlink("link", folder / "link_of_link");
  EXPECT_EQ(write_to(folder / "link_of_link", "new"), "written");
  EXPECT_TRUE(fs::is_symlink(folder / "link"));
  EXPECT_TRUE(fs::is_symlink(folder / "link_of_link"));
  EXPECT_EQ(content(folder / "real" / "file"), "new");
  fs::create_symlink("real/not_yet", folder / "hanging");
  EXPECT_EQ(write_to(folder / "hanging", "first"), "written");
  EXPECT_EQ(content(folder / "real" / "not_yet"), "first");
  fs::create_symlink("circle", folder / "circle");
  EXPECT_EQ(write_to(folder / "circle", "x"),
            "the file cannot be written: Too many levels of symbolic links");
}

TEST_F(AtomicFile, failures_give_the_systems_reason) {
  put(folder / "file", "old");
  EXPECT_EQ(write_to(folder / "file" / "below", "x"), "the file cannot be written: Not a directory");
  EXPECT_EQ(write_to(folder / "missing" / "file", "x"),
            "the file cannot be written: No such file or directory");
  EXPECT_EQ(write_to(folder, "x"), "the file cannot be written: Is a directory");
  EXPECT_EQ(write_to(folder / "missing/", "x"), "the file cannot be written: No such file or directory");
  EXPECT_EQ(write_to("", "x"), "the file cannot be written: No such file or directory");
  EXPECT_EQ(write_to(folder / std::string(300, 'n'), "x"), "the file cannot be written: File name too long");
  EXPECT_EQ(content(folder / "file"), "old");
  EXPECT_EQ(entries(), 1);
}

TEST_F(AtomicFile, the_longest_allowed_name_can_be_written) {
  const std::string long_name(255, 'n');  // the longest that is allowed
  EXPECT_EQ(write_to(folder / long_name, "x"), "written");
  EXPECT_EQ(entries(), 1);
}

TEST_F(AtomicFile, devices_are_written_not_replaced) {
  if (!fs::is_character_file("/dev/full")) GTEST_SKIP() << "no /dev/full here";
  EXPECT_EQ(write_to("/dev/full", "x"), "the file cannot be written: No space left on device");
  EXPECT_EQ(write_to("/dev/null", "x"), "written");
  EXPECT_TRUE(fs::is_character_file("/dev/full"));
  EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

TEST_F(AtomicFile, a_write_that_fails_half_way_keeps_the_old_file) {
  put(folder / "file", "old");
  const pid_t child = fork();
  if (child == 0) {  // a limit on file sizes stands for a full disk
    signal(SIGXFSZ, SIG_IGN);
    const rlimit small{1000, 1000};
    setrlimit(RLIMIT_FSIZE, &small);
    const auto issues = write_file((folder / "file").string(), std::string(5000, 'x'));
    _exit(issues.size() == 1 && issues.front().text.find("File too large") != std::string::npos ? 0 : 1);
  }
  int status = -1;
  waitpid(child, &status, 0);
  EXPECT_EQ(status, 0);
  EXPECT_EQ(content(folder / "file"), "old");
  EXPECT_EQ(entries(), 1);
}

TEST_F(AtomicFile, what_may_not_be_written_stays) {
  if (geteuid() == 0) GTEST_SKIP() << "the administrator may write everywhere";
  put(folder / "file", "old");
  fs::permissions(folder / "file", fs::perms::owner_read);
  EXPECT_EQ(write_to(folder / "file", "new"), "the file cannot be written: Permission denied");
  fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec);
  EXPECT_EQ(write_to(folder / "other", "new"), "the file cannot be written: Permission denied");
  fs::permissions(folder, fs::perms::owner_all);
  EXPECT_EQ(content(folder / "file"), "old");
  EXPECT_EQ(entries(), 1);
}

TEST_F(AtomicFile, readers_see_old_or_new_and_never_a_mixture) {
  const std::string a(200'000, 'a');
  const std::string b(200'000, 'b');
  put(folder / "file", a);
  int mixtures = 0;
  {
    const std::jthread writer([&] {
      for (int i = 0; i < 20; ++i) write_file((folder / "file").string(), i % 2 == 0 ? b : a);
    });
    const std::jthread other([&] {
      for (int i = 0; i < 20; ++i) write_file((folder / "file").string(), i % 2 == 0 ? a : b);
    });
    for (int i = 0; i < 200; ++i) {
      const std::string seen = content(folder / "file");
      mixtures += seen != a && seen != b;
    }
  }
  EXPECT_EQ(mixtures, 0);
  EXPECT_EQ(entries(), 1);
}

}  // namespace
}  // namespace corefeed::reports
