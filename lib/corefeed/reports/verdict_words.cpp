// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/verdict_words.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::JudgedRequirement;
using studies::Verdict;

std::string no_solution_words(const studies::Study& study) {
  const auto unsolved =
      std::count_if(study.points.begin(), study.points.end(),
                    [](const studies::PointResult& point) { return !point.solution.converged; });
  const auto several =
      std::count_if(study.points.begin(), study.points.end(), [](const studies::PointResult& point) {
        return point.solution.converged && !point.solution.further.empty();
      });
  const auto subject = [&study](auto count) {
    if (study.points.size() == 1) return std::string("the one point has");
    return fmt::format("{} of {} points {}", count, study.points.size(), count == 1 ? "has" : "have");
  };
  if (unsolved > 0) return fmt::format("No verdict: {} no solution.", subject(unsolved));
  return fmt::format("No verdict: {} several possible operating points.", subject(several));
}

}  // namespace

RequirementCount count_of(const studies::Study& study) {
  RequirementCount count{.total = study.requirements.size()};
  for (const JudgedRequirement& one : study.requirements) {
    if (one.judgments.empty()) {
      ++count.unjudged;
    } else if (one.fails) {
      ++count.failed;
    } else if (one.judgments[one.worst].verdict == Verdict::too_close) {
      ++count.close;
    }
  }
  return count;
}

Outcome outcome_of(const studies::Study& study) {
  if (study.status == Status::no_solution) return Outcome::no_solution;
  if (study.status == Status::requirement_not_met) return Outcome::not_met;
  const RequirementCount count = count_of(study);
  if (count.total == count.unjudged) return Outcome::nothing_asked;
  return count.close > 0 ? Outcome::too_close : Outcome::met;
}

std::string outcome_words(const studies::Study& study) {
  const RequirementCount count = count_of(study);
  std::string text;
  switch (outcome_of(study)) {
    case Outcome::no_solution:
      return no_solution_words(study);
    case Outcome::nothing_asked:
      return count.total == 0 ? "No verdict: the model states no requirement."
                              : "No verdict: no requirement speaks of these points.";
    case Outcome::not_met:
      text = count.failed > 0 ? fmt::format("Not met: {} of {} requirements {}", count.failed, count.total,
                                            count.failed == 1 ? "fails" : "fail")
                              : "Not met: a warning counts when strict";
      break;
    case Outcome::too_close:
      text = fmt::format("Met, but not for certain: {} of {} requirements are clearly met",
                         count.total - count.close - count.unjudged, count.total);
      break;
    case Outcome::met:
      text = count.total == 1
                 ? "Met: the one requirement holds"
                 : fmt::format("Met: {} of {} requirements hold", count.total - count.unjudged, count.total);
  }
  if (count.close > 0)
    text += fmt::format(", {} {} too close to call", count.close, count.close == 1 ? "is" : "are");
  if (count.unjudged > 0)
    text +=
        fmt::format(", {} {} not judged at these points", count.unjudged, count.unjudged == 1 ? "is" : "are");
  return text + ".";
}

std::string judgment_words(const model::Requirement& requirement, const studies::Judgment& judgment) {
  return fmt::format("{} is {}, {} {} is required: {}", requirement.quantity,
                     with_band(judgment.value, judgment.sigma, requirement.kind),
                     requirement.at_least ? "at least" : "at most", limit_text(requirement).substr(3),
                     studies::verdict_name(judgment.verdict));
}

}  // namespace corefeed::reports
