// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/interrupts.hpp"

#include <signal.h>

#include <atomic>

namespace corefeed::command {
namespace {

std::atomic<int> noted = 0;
static_assert(std::atomic<int>::is_always_lock_free, "a signal's handler may use it");

void note(int number) { noted = number; }

void handle(void (*handler)(int)) {
  struct sigaction action {};
  action.sa_handler = handler;
  sigemptyset(&action.sa_mask);
  // The system's way is back with the first one; no call is broken off by it.
  action.sa_flags = SA_RESTART | static_cast<int>(SA_RESETHAND);
  for (const int number : {SIGINT, SIGTERM}) sigaction(number, &action, nullptr);
}

}  // namespace

Interrupts::Interrupts() {
  noted = 0;
  handle(&note);
}
Interrupts::~Interrupts() { handle(SIG_DFL); }

int Interrupts::signal() { return noted; }

}  // namespace corefeed::command
