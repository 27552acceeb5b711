// SPDX-License-Identifier: Apache-2.0
#include "tests/faults/planted.hpp"

#include <dlfcn.h>
#include <errno.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <cstdlib>
#include <cstring>

namespace corefeed::faults {
namespace {

std::size_t number_in(const char* variable) {
  const char* text = std::getenv(variable);
  return text != nullptr ? std::strtoull(text, nullptr, 10) : 0;
}

int (*real_main)(int, char**, char**) = nullptr;

int counted_main(int argc, char** argv, char** environment) {
  places.begin();
  return real_main(argc, argv, environment);
}

__attribute__((destructor)) void at_end() { places.report(); }

}  // namespace

Places places;

const char* kind() {
  static const char* const word = std::getenv("COREFEED_FAULT_KIND");
  return word != nullptr ? word : "";
}

void Places::begin() {
  const char* wanted = std::getenv("COREFEED_FAULT_PROGRAM");
  if (wanted == nullptr || std::strcmp(wanted, program_invocation_short_name) != 0) return;
  at_ = number_in("COREFEED_FAULT_AT");
  kind();
  counting_ = true;
}

void Places::report() const {
  const std::size_t file = number_in("COREFEED_FAULT_REPORT");
  if (!counting_ || file == 0) return;
  char digits[24];
  char* at = digits + sizeof digits;
  *--at = '\n';
  for (std::size_t rest = count_; at == digits + sizeof digits - 1 || rest > 0; rest /= 10)
    *--at = static_cast<char>('0' + rest % 10);
  // Past the library's own `write`, where a fault may be planted.
  syscall(SYS_write, static_cast<int>(file), at, static_cast<std::size_t>(digits + sizeof digits - at));
}

}  // namespace corefeed::faults

/// The C library calls the program's main function from here, when everything is loaded.
extern "C" int __libc_start_main(int (*program)(int, char**, char**), int argc, char** argv, void (*init)(),
                                 void (*fini)(), void (*loader_fini)(), void* stack_end) {
  corefeed::faults::real_main = program;
  const auto real = reinterpret_cast<decltype(&__libc_start_main)>(dlsym(RTLD_NEXT, "__libc_start_main"));
  return real(corefeed::faults::counted_main, argc, argv, init, fini, loader_fini, stack_end);
}
