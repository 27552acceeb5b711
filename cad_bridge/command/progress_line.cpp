// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/progress_line.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cmath>
#include <iostream>
#include <string>

namespace corefeed::command {
namespace {

constexpr std::chrono::milliseconds least_pause{200};
constexpr const char* erase = "\r\033[K";

/// "1,234,567"
std::string counted(std::size_t number) {
  std::string text = fmt::format("{}", number);
  for (std::size_t at = text.size(); at > 3; at -= 3) text.insert(at - 3, 1, ',');
  return text;
}

std::string duration(double seconds) {
  const auto whole = std::llround(seconds);
  if (whole >= 3600) return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
  return whole >= 60 ? fmt::format("{} min {} s", whole / 60, whole % 60) : fmt::format("{} s", whole);
}

}  // namespace

ProgressLine::ProgressLine(std::size_t done, std::size_t all)
    : before_(done),
      all_(all),
      terminal_(::isatty(STDERR_FILENO) != 0),
      begun_(Clock::now()),
      last_(begun_) {}

ProgressLine::~ProgressLine() {
  if (shown_) std::cerr << erase << std::flush;
}

void ProgressLine::show(std::size_t done) {
  const Clock::time_point now = Clock::now();
  if (!terminal_ || now - last_ < least_pause || done <= before_) return;
  last_ = now;
  shown_ = true;
  const double rate =
      static_cast<double>(done - before_) / std::chrono::duration<double>(now - begun_).count();
  std::cerr << erase
            << fmt::format("{} of {} rows ({:.1f} %), {} rows/s, {} left", counted(done), counted(all_),
                           100.0 * static_cast<double>(done) / static_cast<double>(all_),
                           counted(static_cast<std::size_t>(rate)),
                           duration(static_cast<double>(all_ - done) / rate))
            << std::flush;
}

}  // namespace corefeed::command
