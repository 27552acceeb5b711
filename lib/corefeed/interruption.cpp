// SPDX-License-Identifier: Apache-2.0
#include "corefeed/interruption.hpp"

#include <utility>

namespace corefeed {
namespace {

thread_local const std::function<void()>* lent = nullptr;

}  // namespace

Interruptible::Interruptible(std::function<void()> question)
    : question_(std::move(question)), before_(std::exchange(lent, &question_)) {}

Interruptible::~Interruptible() { lent = before_; }

void interruption_point() {
  if (lent != nullptr) (*lent)();
}

}  // namespace corefeed
