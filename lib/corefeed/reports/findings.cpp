// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/findings.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "corefeed/reports/verdict_words.hpp"
#include "corefeed/studies/strict.hpp"

namespace corefeed::reports {
namespace {

using studies::Judgment;
using studies::PointResult;
using studies::Verdict;

std::string pointer_of_point(const model::Model& model, const std::string& name) {
  for (const model::Point& point : model.points) {
    if (point.name == name) return point.pointer;
  }
  return "";
}

/// A warning of the model points into the document; one of a solution names an element, a piece of one or a
/// loop, or nothing.
std::string pointer_of(const model::Model& model, const Issue& issue, const std::string& point) {
  const std::string& where = issue.place.pointer;
  if (where.starts_with('/')) return where;
  const std::string name = where.substr(0, where.find('/'));
  if (const model::Element* element = model.find_element(name)) return element->pointer;
  for (const model::Loop& loop : model.loops) {
    if (loop.name == name) return loop.pointer;
  }
  return pointer_of_point(model, point);
}

std::string subject_of(const Issue& issue) {
  return issue.place.pointer.substr(issue.place.pointer.rfind('/') + 1);
}

class List {
 public:
  List(const model::Model& model, const studies::StudyOptions& options) : model_(model), options_(options) {}

  void add_point(const PointResult& point) {
    const bool several = !point.solution.further.empty();
    if (point.solution.converged && !several) return;
    Finding finding;
    finding.rule = point.solution.converged ? "point/several_solutions" : "point/no_solution";
    finding.point = point.name;
    finding.text = fmt::format("{}: {}", point.name, point.solution.explanation);
    finding.place = model_.document.place(pointer_of_point(model_, point.name));
    findings.push_back(std::move(finding));
  }

  void add_requirement(const studies::JudgedRequirement& judged) {
    const model::Requirement& requirement = model_.requirements[judged.index];
    std::vector<Judgment> judgments = judged.judgments;
    std::stable_sort(judgments.begin(), judgments.end(), [](const Judgment& a, const Judgment& b) {
      return studies::in_sigmas(a) < studies::in_sigmas(b);
    });
    for (const Judgment& judgment : judgments) {
      if (judgment.verdict == Verdict::met) continue;
      Finding finding;
      finding.rule = judgment.verdict == Verdict::not_met ? "requirement/not_met" : "requirement/too_close";
      finding.severity =
          counts_against(requirement, judgment, options_.strict) ? Severity::error : Severity::warning;
      finding.subject = requirement.name;
      finding.point = judgment.point;
      finding.text =
          fmt::format("{} ({}): {}", requirement.name, judgment.point, judgment_words(requirement, judgment));
      finding.place = model_.document.place(requirement.pointer);
      findings.push_back(std::move(finding));
    }
  }

  void add_warnings(const std::vector<Issue>& issues, const std::string& point) {
    for (const Issue& issue : issues) {
      Finding finding;
      finding.rule = issue.code;
      finding.severity =
          options_.strict && studies::counts_when_strict(issue) ? Severity::error : issue.severity;
      finding.subject = subject_of(issue);
      finding.point = point;
      finding.text = point.empty() ? issue.text : fmt::format("{} ({})", issue.text, point);
      finding.place = model_.document.place(pointer_of(model_, issue, point));
      findings.push_back(std::move(finding));
    }
  }

  std::vector<Finding> findings;

 private:
  const model::Model& model_;
  const studies::StudyOptions& options_;
};

}  // namespace

std::vector<Finding> findings_of(const model::Model& model, const studies::Study& study,
                                 const studies::StudyOptions& options) {
  List list(model, options);
  for (const PointResult& point : study.points) list.add_point(point);
  for (const studies::JudgedRequirement& judged : study.requirements) list.add_requirement(judged);
  list.add_warnings(study.warnings, "");
  for (const PointResult& point : study.points) list.add_warnings(point.warnings, point.name);
  std::stable_sort(list.findings.begin(), list.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.severity > b.severity; });
  return std::move(list.findings);
}

}  // namespace corefeed::reports
