// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/result.hpp"

/// What fuzz targets have in common. A target reads bytes that mean nothing good and says what must hold
/// whatever they are; docs/fuzzing.md lists them.
namespace corefeed::fuzz {

/// Given by each target. Bytes come from the fuzzer, or from a file of the corpus.
void run(std::string_view bytes);

/// Ends the program, which the fuzzer takes for a finding, when what must hold does not.
void require(bool holds, std::string_view what);

/// Whether two numbers are the same to the bit or both zero.
bool same(double a, double b);

/// What a user is told must be fit to be told: with a rule and a sentence, of bounded number and length,
/// without a byte that steers a terminal.
void require_fit(const std::vector<Issue>& issues);

/// The same of a refusal, which has a reason, blames the input alone, and names a line that the text has.
void require_sound(const std::vector<Issue>& issues, std::string_view text);

/// The first byte of the input chooses; the rest is what is read.
struct Chosen {
  std::size_t choice = 0;
  std::string_view rest;
};
Chosen choose(std::string_view bytes, std::size_t choices);

/// A folder for readers that want a file, gone at the end.
class ScratchFolder {
 public:
  ScratchFolder();
  ~ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;

  std::string path(std::string_view name) const { return (folder_ / name).string(); }
  /// Writes a file and returns its path.
  std::string write(std::string_view name, std::string_view content) const;

 private:
  std::filesystem::path folder_;
};

}  // namespace corefeed::fuzz
