// SPDX-License-Identifier: Apache-2.0
#include "corefeed/on_threads.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>

namespace corefeed {
namespace {

TEST(OnThreads, EveryThreadDoesTheWork) {
  std::atomic<int> done = 0;
  on_threads(
      3, [&] { ++done; }, [] { FAIL() << "nothing failed"; });
  EXPECT_EQ(done, 3);
}

// Both threads fail, one after the other: the first failure is the one that is told, and each asks the rest
// to stop.
TEST(OnThreads, TheFirstFailureIsTold) {
  std::atomic<int> begun = 0;
  std::atomic<int> stopped = 0;
  const auto work = [&] {
    if (begun++ == 0) throw std::runtime_error("first");
    while (stopped == 0) std::this_thread::yield();
    throw std::runtime_error("second");
  };
  try {
    on_threads(2, work, [&] { ++stopped; });
    FAIL() << "no failure is told";
  } catch (const std::runtime_error& failure) {
    EXPECT_STREQ(failure.what(), "first");
  }
  EXPECT_EQ(stopped, 2);
}

}  // namespace
}  // namespace corefeed
