// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "corefeed/studies/study.hpp"

/// The outcome of a study in words, for pages and pipelines. Private to the room.
namespace corefeed::reports {

/// How a check ended.
enum class Outcome { met, too_close, not_met, no_solution, nothing_asked };
Outcome outcome_of(const studies::Study& study);

/// How many requirements ended in which way; what is left of `total` is met.
struct RequirementCount {
  std::size_t total = 0;
  std::size_t failed = 0;
  std::size_t close = 0;     ///< and not failed
  std::size_t unjudged = 0;  ///< no point of the study is theirs, or none has a solution
};
RequirementCount count_of(const studies::Study& study);

/// "Not met: 1 of 4 requirements fails, 1 is too close to call." One sentence.
std::string outcome_words(const studies::Study& study);

/// "radiator.flow is 1.05 +- 0.04 kg/s, at least 1.1 kg/s is required: not met".
std::string judgment_words(const model::Requirement& requirement, const studies::Judgment& judgment);

}  // namespace corefeed::reports
