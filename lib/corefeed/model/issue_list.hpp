// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::model {

/// The issues of one pass over a file. The first 20 are kept and the rest only counted, so that a file full
/// of faults stays readable and is refused quickly: ask `is_full` before working out the place of another
/// one.
class IssueList {
 public:
  static constexpr std::size_t most = 20;

  bool empty() const { return issues_.empty(); }
  bool is_full() const { return issues_.size() >= most; }

  /// Keeps the issue, or counts it if the list is full.
  void add(Issue issue) {
    if (is_full()) return count_one();
    issues_.push_back(std::move(issue));
  }
  void count_one() { ++unlisted_; }

  /// The issues, followed by "more_errors" if some were only counted.
  std::vector<Issue> take(const std::string& file) {
    if (unlisted_ > 0) {
      Issue note;
      note.code = "more_errors";
      note.severity = issues_.back().severity;
      note.place.file = file;
      note.text = std::to_string(unlisted_) + " more of this kind are not listed";
      issues_.push_back(std::move(note));
    }
    return std::move(issues_);
  }

 private:
  std::vector<Issue> issues_;
  std::size_t unlisted_ = 0;
};

}  // namespace corefeed::model
