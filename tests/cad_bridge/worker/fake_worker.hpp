// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>
#include <stdlib.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace corefeed::worker {

/// A sound STEP file with one point in it.
inline const std::string point_file =
    "ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n"
    "#1=CARTESIAN_POINT('',(0.,0.,0.));\nENDSEC;\nEND-ISO-10303-21;\n";

/// A folder of its own with a STEP file, and shell scripts that play the measuring program.
class FakeWorker : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "corefeed-test-XXXXXX").string();
    ASSERT_NE(mkdtemp(name.data()), nullptr);
    folder = name;
    step = write("part.step", point_file);
    unsetenv("COREFEED_WORKER");
  }

  void TearDown() override {
    unsetenv("COREFEED_WORKER");
    std::filesystem::remove_all(folder);
  }

  std::string write(const std::string& name, const std::string& content) const {
    std::ofstream(folder / name, std::ios::binary) << content;
    return (folder / name).string();
  }

  /// Makes the script the measuring program. `reply TEXT` in it sends a well-formed reply.
  void use(const std::string& script) const {
    const std::string path =
        write("worker",
              "#!/bin/sh\nreply() { printf 'corefeed-reply 1 %d\\n%s' \"${#1}\" \"$1\"; }\n" + script + "\n");
    std::filesystem::permissions(path, std::filesystem::perms::owner_all);
    setenv("COREFEED_WORKER", path.c_str(), 1);
  }

  std::filesystem::path folder;
  std::string step;
};

}  // namespace corefeed::worker
