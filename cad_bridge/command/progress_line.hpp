// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <cstddef>

namespace corefeed::command {

/// One line on standard error that tells how far a long work is; nothing where that is no terminal.
class ProgressLine {
 public:
  /// `done` of `all` stood before.
  ProgressLine(std::size_t done, std::size_t all);
  /// Takes the line away.
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// Writes at most five times a second.
  void show(std::size_t done);

 private:
  using Clock = std::chrono::steady_clock;
  std::size_t before_, all_;
  bool shown_ = false;
  bool terminal_;
  Clock::time_point begun_, last_;
};

}  // namespace corefeed::command
