// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/limits.hpp"

#include <fmt/format.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <csignal>
#include <cstdlib>
#include <new>
#include <string_view>

namespace corefeed::worker {
namespace {

constexpr std::string_view variable = "COREFEED_WORKER_LIMITS";

bool limit(pid_t process, int what, std::uint64_t soft, std::uint64_t hard) {
  rlimit present{};
  if (prlimit(process, static_cast<__rlimit_resource>(what), nullptr, &present) != 0) return false;
  const rlimit wanted{std::min<rlim_t>(soft, present.rlim_max), std::min<rlim_t>(hard, present.rlim_max)};
  return prlimit(process, static_cast<__rlimit_resource>(what), &wanted, nullptr) == 0;
}

/// A sanitizer's shadow memory takes terabytes of addresses: the limit would end every process before its
/// first line.
#ifdef COREFEED_SANITIZED
constexpr bool shadowed = true;
#else
constexpr bool shadowed = false;
#endif

}  // namespace

bool limit_process(pid_t process, const WorkerLimits& limits) {
  bool done = limit(process, RLIMIT_FSIZE, 0, 0) && limit(process, RLIMIT_CORE, 0, 0) &&
              limit(process, RLIMIT_NOFILE, limits.open_files, limits.open_files);
  if (limits.memory > 0 && !shadowed) done = limit(process, RLIMIT_AS, limits.memory, limits.memory) && done;
  // The soft limit sends SIGXCPU, which tells the parent what happened; the hard one kills for sure.
  if (limits.cpu_seconds > 0)
    done = limit(process, RLIMIT_CPU, limits.cpu_seconds, limits.cpu_seconds + 2) && done;
  return done;
}

bool limit_this_process(const WorkerLimits& limits) {
  std::set_new_handler([] { _exit(out_of_memory_status); });
  // Not a byte may go into a file. A try is an error to the writer, not the end of the program: standard
  // error may be a file when somebody starts it by hand.
  std::signal(SIGXFSZ, SIG_IGN);
  const bool bound = prctl(PR_SET_PDEATHSIG, SIGKILL) == 0 && prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0;
  return limit_process(0, limits) && bound;
}

bool limit_this_process_as_told() {
  WorkerLimits limits;
  const char* told = std::getenv(variable.data());
  if (told == nullptr) return limit_this_process(limits);
  std::array<std::uint64_t, 4> numbers{};
  std::string_view rest(told);
  for (std::uint64_t& number : numbers) {
    const auto [stop, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
    if (error != std::errc{}) return false;
    rest.remove_prefix(static_cast<std::size_t>(stop - rest.data()));
    if (rest.starts_with(',')) rest.remove_prefix(1);
  }
  limits.memory = numbers[0];
  limits.cpu_seconds = numbers[1];
  limits.open_files = numbers[2];
  // A parent that ended before the death signal was asked for is seen here.
  return limit_this_process(limits) && static_cast<std::uint64_t>(getppid()) == numbers[3];
}

std::string limits_entry(const WorkerLimits& limits) {
  return fmt::format("{}={},{},{},{}", variable, limits.memory, limits.cpu_seconds, limits.open_files,
                     getpid());
}

}  // namespace corefeed::worker
