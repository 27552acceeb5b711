// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <condition_variable>
#include <cstddef>
#include <map>
#include <mutex>
#include <utility>

#include "corefeed/on_threads.hpp"

/// Work on several threads whose results are wanted one after the other.
namespace corefeed::studies {

/// Works on the numbers from `first` to before `last` on `jobs` threads (at least one). `start()` is called
/// once on each thread and gives what works there, a callable from a number to a result. `take(number,
/// result)` is called in the order of the numbers, never twice at once, on one of the threads; where it gives
/// false no further number is begun and none is taken. At most four results a thread wait for their turn.
/// What is thrown anywhere ends the work and is thrown here. Where the system gives fewer threads, those do
/// the work.
template <class Start, class Take>
void in_order(std::size_t first, std::size_t last, int jobs, const Start& start, const Take& take) {
  using Made = decltype(std::declval<Start>()()(first));
  const auto threads = static_cast<std::size_t>(jobs < 1 ? 1 : jobs);
  const std::size_t most_waiting = 4 * threads;
  std::mutex mutex;
  std::condition_variable moved;
  std::map<std::size_t, Made> waiting;
  std::size_t next = first;
  std::size_t taken = first;
  bool taking = false;
  bool stopped = false;

  // Called and left with the lock held.
  const auto take_waiting = [&](std::unique_lock<std::mutex>& lock) {
    if (taking) return;
    taking = true;
    while (!stopped && !waiting.empty() && waiting.begin()->first == taken) {
      auto node = waiting.extract(waiting.begin());
      lock.unlock();
      const bool go_on = take(node.key(), std::move(node.mapped()));
      lock.lock();
      ++taken;
      stopped = stopped || !go_on;
      moved.notify_all();
    }
    taking = false;
  };
  const auto work_through = [&] {
    auto work = start();
    std::unique_lock lock(mutex);
    while (true) {
      moved.wait(lock, [&] { return stopped || next >= last || next < taken + most_waiting; });
      if (stopped || next >= last) return;
      const std::size_t number = next++;
      lock.unlock();
      Made made = work(number);
      lock.lock();
      waiting.emplace(number, std::move(made));
      take_waiting(lock);
    }
  };
  on_threads(threads, work_through, [&] {
    const std::lock_guard lock(mutex);
    stopped = true;
    moved.notify_all();
  });
}

}  // namespace corefeed::studies
