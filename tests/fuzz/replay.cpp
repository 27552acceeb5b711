// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "tests/fuzz/oracle.hpp"

/// Gives a target the files of its corpus, named one by one or by their folder, without a fuzzer: so that
/// every build and every compiler goes through what was once found.
int main(int count, char** words) {
  std::vector<std::filesystem::path> files;
  for (int i = 1; i < count; ++i) {
    if (!std::filesystem::is_directory(words[i])) {
      files.emplace_back(words[i]);
      continue;
    }
    for (const auto& entry : std::filesystem::directory_iterator(words[i])) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const std::filesystem::path& file : files) {
    std::ifstream stream(file, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    if (!stream) {
      std::fprintf(stderr, "%s cannot be read\n", file.c_str());
      return 1;
    }
    // Whatever ends the program then, the file's name stands above it.
    std::fprintf(stderr, "%s\n", file.c_str());
    corefeed::fuzz::run(bytes);
  }
  if (files.empty()) std::fprintf(stderr, "there is no file to read\n");
  return files.empty() ? 1 : 0;
}
