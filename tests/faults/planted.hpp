// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <cstddef>

/// What the preloaded libraries of this folder share: counting the places of a running program where a fault
/// may be planted, from the first line of its main function on, and telling when the turn of one has come.
/// Nothing here takes memory.
///
/// The environment says what to do:
///   COREFEED_FAULT_PROGRAM  name of the program that is meant; its children may bear another
///   COREFEED_FAULT_KIND     the fault, in words of the library
///   COREFEED_FAULT_AT       which place, from 1; absent or 0: count only
///   COREFEED_FAULT_REPORT   number of an open file that gets "COUNT\n" at the end
namespace corefeed::faults {

class Places {
 public:
  /// Whether the fault is planted here. `onwards` plants it at every later place too.
  bool is_turn(bool onwards = false) {
    if (!counting_.load(std::memory_order_relaxed)) return false;
    const std::size_t number = count_.fetch_add(1, std::memory_order_relaxed) + 1;
    return at_ != 0 && (onwards ? number >= at_ : number == at_);
  }

  /// Reads the environment; counts if this program is the one that is meant.
  void begin();
  /// Tells how many places there were.
  void report() const;

 private:
  std::atomic<bool> counting_ = false;
  std::atomic<std::size_t> count_ = 0;
  std::size_t at_ = 0;
};

extern Places places;

/// The word in COREFEED_FAULT_KIND, "" where there is none.
const char* kind();

}  // namespace corefeed::faults
