// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <pybind11/pybind11.h>

#include <chrono>
#include <vector>

#include "corefeed/interruption.hpp"
#include "corefeed/result.hpp"

/// The border between values that carry issues and a language that throws.
namespace corefeed::python {

/// Issues as Python sees them, `corefeed.Issue`.
pybind11::list issues_for_python(const std::vector<Issue>& issues);

/// Throws the `corefeed.Error` of the issues' status, with the text that the command would print.
[[noreturn]] void throw_issues(const std::vector<Issue>& issues);

/// The value, or the exception.
template <class T>
T value_or_throw(Result<T> result) {
  if (!result) throw_issues(result.issues());
  return std::move(result).value();
}

/// Throws KeyboardInterrupt where Ctrl-C was pressed. Looks every few hundredths of a second only, since it
/// has to take the interpreter's lock for that; what ends before needs no look.
class CtrlC {
 public:
  void operator()();

 private:
  static constexpr std::chrono::milliseconds patience{20};
  std::chrono::steady_clock::time_point next_ = std::chrono::steady_clock::now() + patience;
};

/// Does work that takes long without the interpreter's lock. The work touches no Python object.
template <class Work>
auto long_call(Work work) {
  const pybind11::gil_scoped_release others_may_run;
  const Interruptible by_ctrl_c{CtrlC()};
  return work();
}

}  // namespace corefeed::python
