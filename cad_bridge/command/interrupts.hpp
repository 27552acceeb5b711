// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace corefeed::command {

/// While it lives, SIGINT and SIGTERM are noted and end nothing, so that work can be brought to a good end.
/// The second one ends the program at once.
class Interrupts {
 public:
  Interrupts();
  ~Interrupts();
  Interrupts(const Interrupts&) = delete;
  Interrupts& operator=(const Interrupts&) = delete;

  /// The signal that has come, or 0.
  static int signal();
};

}  // namespace corefeed::command
