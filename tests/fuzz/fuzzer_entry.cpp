// SPDX-License-Identifier: Apache-2.0
#include <cstddef>
#include <cstdint>

#include "tests/fuzz/oracle.hpp"

// What libFuzzer calls, by the name that it wants.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast): bytes are read as text.
  corefeed::fuzz::run({reinterpret_cast<const char*>(data), size});
  return 0;
}
