// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/study.hpp"

/// What a check found, one by one, for programs that show findings beside the model's lines. Private to the
/// room.
namespace corefeed::reports {

struct Finding {
  std::string rule;  ///< "requirement/not_met", "point/no_solution", or the code of a warning
  Severity severity = Severity::error;
  std::string subject;  ///< requirement or element; may be empty
  std::string point;    ///< empty: of the model
  std::string text;
  Place place;
};

/// Errors first, then warnings, then notes; among requirements the smallest margin in sigmas first. What a
/// strict check counts as not met is an error.
std::vector<Finding> findings_of(const model::Model& model, const studies::Study& study,
                                 const studies::StudyOptions& options);

/// What a rule is about.
struct FindingRule {
  std::string_view id;
  std::string_view name;  ///< a few words
  std::string_view help;  ///< what it means and what to do about it
};
std::span<const FindingRule> finding_rules();

/// The rule of that id; of a code that has none of its own, a general one with an empty id.
const FindingRule& finding_rule(std::string_view id);

}  // namespace corefeed::reports
