// SPDX-License-Identifier: Apache-2.0
// A library to be preloaded: the n-th request for memory fails (COREFEED_FAULT_KIND=once), or every one from
// the n-th on (onwards), as on a machine that has none left. `new` of the C++ library asks here too. See
// planted.hpp.
#include <errno.h>
#include <unistd.h>

#include <cstddef>
#include <cstring>

#include "tests/faults/planted.hpp"

// The allocator of the C library under the names that it keeps for itself.
extern "C" {
void* __libc_malloc(std::size_t size);
void* __libc_calloc(std::size_t count, std::size_t size);
void* __libc_realloc(void* block, std::size_t size);
void* __libc_memalign(std::size_t alignment, std::size_t size);
}

namespace {

bool fails() {
  static const bool onwards = std::strcmp(corefeed::faults::kind(), "onwards") == 0;
  if (!corefeed::faults::places.is_turn(onwards)) return false;
  errno = ENOMEM;
  return true;
}

}  // namespace

extern "C" {

void* malloc(std::size_t size) { return fails() ? nullptr : __libc_malloc(size); }
void* calloc(std::size_t count, std::size_t size) { return fails() ? nullptr : __libc_calloc(count, size); }
void* realloc(void* block, std::size_t size) { return fails() ? nullptr : __libc_realloc(block, size); }
void* memalign(std::size_t alignment, std::size_t size) {
  return fails() ? nullptr : __libc_memalign(alignment, size);
}
void* aligned_alloc(std::size_t alignment, std::size_t size) { return memalign(alignment, size); }
int posix_memalign(void** block, std::size_t alignment, std::size_t size) {
  void* const found = memalign(alignment, size);
  if (found == nullptr) return ENOMEM;
  *block = found;
  return 0;
}
}
