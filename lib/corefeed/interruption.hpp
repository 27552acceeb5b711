// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>

/// Lets a host program stop a long call. The host lends its thread a question ("did somebody press Ctrl-C?"),
/// and whatever takes long asks it now and then: before each solution, each lap, and while a drawing is
/// measured. Where the answer is yes the question throws, and the call ends with that exception; values that
/// the call worked on are then in the state between two solutions.
namespace corefeed {

/// Lends the question to this thread for as long as this lives. The last one lent counts.
class Interruptible {
 public:
  explicit Interruptible(std::function<void()> question);
  ~Interruptible();
  Interruptible(const Interruptible&) = delete;
  Interruptible& operator=(const Interruptible&) = delete;

 private:
  std::function<void()> question_;
  const std::function<void()>* before_;
};

/// Asks this thread's question, if it has one. Throws what the question throws, nothing else; costs a
/// nanosecond without.
void interruption_point();

}  // namespace corefeed
