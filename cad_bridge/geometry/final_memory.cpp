// SPDX-License-Identifier: Apache-2.0
// The measuring program's own malloc: where there is no memory left, the program ends with the status that
// says so.
//
// The geometry kernel asks malloc, not `new`, and where it gets nothing it throws an exception that it
// catches itself in many places: a face is left out, a curve is taken for faulty, and the measurement that
// comes of it is another one, without a word. No answer is better than that one.
#include <unistd.h>

#include <cstddef>

#include "cad_bridge/worker/limits.hpp"

// The C library's allocator under the names that it keeps for itself.
extern "C" {
void* __libc_malloc(std::size_t size);
void* __libc_calloc(std::size_t count, std::size_t size);
void* __libc_realloc(void* block, std::size_t size);
void* __libc_memalign(std::size_t alignment, std::size_t size);
}

namespace {

void* or_end(void* block, std::size_t size) {
  if (block == nullptr && size > 0) _exit(corefeed::worker::out_of_memory_status);
  return block;
}

}  // namespace

extern "C" {

void* malloc(std::size_t size) { return or_end(__libc_malloc(size), size); }
void* calloc(std::size_t count, std::size_t size) {
  return or_end(__libc_calloc(count, size), count > 0 ? size : 0);
}
void* realloc(void* block, std::size_t size) { return or_end(__libc_realloc(block, size), size); }
void* memalign(std::size_t alignment, std::size_t size) {
  return or_end(__libc_memalign(alignment, size), size);
}
void* aligned_alloc(std::size_t alignment, std::size_t size) { return memalign(alignment, size); }
int posix_memalign(void** block, std::size_t alignment, std::size_t size) {
  *block = memalign(alignment, size);
  return 0;
}
}
