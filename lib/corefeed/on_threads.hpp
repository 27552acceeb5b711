// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

/// The same work on several threads at once.
namespace corefeed {

/// Calls `work()` on this thread and on `threads - 1` more, and returns when all have ended. What any of them
/// throws first is thrown here; `stop()` is called then, on that thread, and lets the others end early. Where
/// the system gives fewer threads, those do the work.
template <class Work, class Stop>
void on_threads(std::size_t threads, const Work& work, const Stop& stop) {
  std::mutex mutex;
  std::exception_ptr failure;
  // Keeps the exception that is being handled.
  const auto fail = [&] {
    {
      const std::lock_guard lock(mutex);
      if (!failure) failure = std::current_exception();
    }
    stop();
  };
  const auto guarded = [&] {
    try {
      work();
    } catch (...) {
      fail();
    }
  };
  {
    std::vector<std::jthread> helpers;
    try {
      for (std::size_t i = 1; i < threads; ++i) helpers.emplace_back(guarded);
    } catch (const std::system_error&) {
      // The system gives no more threads; those that there are do the work.
    } catch (...) {
      fail();
    }
    guarded();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace corefeed
