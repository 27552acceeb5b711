// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/study.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/distributions/normal.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/studies/runaway.hpp"
#include "corefeed/studies/strict.hpp"

namespace corefeed::studies {
namespace {

/// One sigma: the confidence of a requirement that states none.
constexpr double usual_confidence = 0.84;

double quantile(double confidence) { return boost::math::quantile(boost::math::normal(), confidence); }

/// The governing point: the worst verdict, then the smallest margin.
std::size_t worst_of(const std::vector<Judgment>& judgments) {
  const auto rank = [](Verdict verdict) {
    return verdict == Verdict::not_met ? 0 : (verdict == Verdict::too_close ? 1 : 2);
  };
  const auto worse = [&rank](const Judgment& a, const Judgment& b) {
    if (a.verdict != b.verdict) return rank(a.verdict) < rank(b.verdict);
    return a.margin < b.margin;
  };
  return static_cast<std::size_t>(std::min_element(judgments.begin(), judgments.end(), worse) -
                                  judgments.begin());
}

bool has_one_state(const PointResult& point) {
  return point.solution.converged && point.solution.further.empty();
}

JudgedRequirement judge_all(const model::Model& model, std::size_t index, const Study& study, bool strict) {
  const model::Requirement& requirement = model.requirements[index];
  JudgedRequirement judged;
  judged.index = index;
  for (const PointResult& result : study.points) {
    // A verdict on one of several operating points would be a guess.
    if (!has_one_state(result) || !is_wanted(requirement.at, result.name)) continue;
    judged.judgments.push_back(judge(requirement, result.name,
                                     result.solution.value(requirement.quantity).value_or(0.0),
                                     uncertainty_of(model, result, requirement.quantity).sigma));
  }
  if (judged.judgments.empty()) return judged;
  judged.worst = worst_of(judged.judgments);
  judged.fails = std::any_of(judged.judgments.begin(), judged.judgments.end(),
                             [&](const Judgment& one) { return counts_against(requirement, one, strict); });
  return judged;
}

Status status_of(const Study& study, bool strict) {
  for (const PointResult& point : study.points) {
    if (!has_one_state(point)) return Status::no_solution;
  }
  bool fails = std::any_of(study.requirements.begin(), study.requirements.end(),
                           [](const JudgedRequirement& one) { return one.fails; });
  if (strict) {
    fails = fails || std::any_of(study.warnings.begin(), study.warnings.end(), counts_when_strict);
    for (const PointResult& point : study.points) {
      fails = fails || std::any_of(point.warnings.begin(), point.warnings.end(), counts_when_strict);
    }
  }
  return fails ? Status::requirement_not_met : Status::done;
}

std::vector<Issue> unknown_points(const model::Model& model, const std::vector<std::string>& wanted) {
  std::vector<Issue> issues;
  std::vector<std::string> known;
  for (const model::Point& point : model.points) known.push_back(point.name);
  for (const std::string& name : wanted) {
    if (std::find(known.begin(), known.end(), name) != known.end()) continue;
    Issue issue;
    issue.code = "unknown_point";
    issue.status = Status::usage;
    issue.text =
        fmt::format("the model has no point {}; there are: {}", quoted(name), fmt::join(known, ", "));
    issues.push_back(std::move(issue));
  }
  return issues;
}

Issue point_warning(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = Severity::warning;
  issue.text = std::move(text);
  return issue;
}

void add_sample_warnings(PointResult& point) {
  const Samples& samples = point.samples;
  for (const Sampled& one : samples.quantities) {
    if (!one.differs) continue;
    point.warnings.push_back(point_warning(
        "not_linear",
        fmt::format("the band of {} is no straight line: linear sigma {:.3g}, {} samples give {:.3g}",
                    one.quantity, one.linear_sigma, samples.count - samples.unsolved, one.sigma)));
  }
  if (!samples.reversed.empty()) {
    point.warnings.push_back(point_warning(
        "reverses", fmt::format("within its uncertainty the air may flow the other way through {}",
                                fmt::join(samples.reversed, ", "))));
  }
  if (samples.unsolved > 0) {
    point.warnings.push_back(
        point_warning("unsolved_samples",
                      fmt::format("{} of {} samples have no steady state", samples.unsolved, samples.count)));
  }
}

}  // namespace

bool counts_when_strict(const Issue& issue) {
  return issue.code == "out_of_range" || issue.code == "mended" || issue.code == "extrapolated";
}

std::string_view verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::met:
      return "met";
    case Verdict::not_met:
      return "not met";
    case Verdict::too_close:
      break;
  }
  return "too close to call";
}

const PointResult* find_point(const Study& study, std::string_view name) {
  for (const PointResult& point : study.points) {
    if (point.name == name) return &point;
  }
  return nullptr;
}

bool is_wanted(const std::vector<std::string>& names, const std::string& name) {
  return names.empty() || std::find(names.begin(), names.end(), name) != names.end();
}

double in_sigmas(const Judgment& judgment) {
  if (judgment.sigma > 0.0) return judgment.margin / judgment.sigma;
  if (judgment.margin == 0.0) return 0.0;
  return std::copysign(std::numeric_limits<double>::infinity(), judgment.margin);
}

bool counts_against(const model::Requirement& requirement, const Judgment& judgment, bool strict) {
  const bool certain = strict || requirement.confidence.has_value();
  return judgment.verdict == Verdict::not_met || (certain && judgment.verdict == Verdict::too_close);
}

double needed_margin(const model::Requirement& requirement, double sigma) {
  return quantile(requirement.confidence.value_or(usual_confidence)) * sigma;
}

Judgment judge(const model::Requirement& requirement, const std::string& point, double value, double sigma) {
  Judgment judgment;
  judgment.point = point;
  judgment.value = value;
  judgment.margin = requirement.at_least ? value - requirement.limit : requirement.limit - value;
  judgment.sigma = sigma;
  const double band = needed_margin(requirement, sigma);
  if (judgment.margin >= band) {
    judgment.verdict = Verdict::met;
  } else {
    judgment.verdict = judgment.margin <= -band ? Verdict::not_met : Verdict::too_close;
  }
  return judgment;
}

PointResult solve_point(const model::Model& model, const model::Point& point,
                        const cooling::SolveOptions& options) {
  PointResult result;
  result.name = point.name;
  result.built = model::build(model, point);
  result.solution = cooling::solve(result.built.problem, options);
  refuse_runaway(result);
  if (result.solution.converged) {
    result.warnings = point_warnings(result);
    for (Issue& issue : model::pressure_warnings(model, result.built))
      result.warnings.push_back(std::move(issue));
    result.budgets = budgets_of(result);
  }
  return result;
}

Result<Study> run_study(const model::Model& model, const StudyOptions& options) {
  std::vector<Issue> unknown = unknown_points(model, options.points);
  if (!unknown.empty()) return unknown;
  Study study;
  study.warnings = model.warnings;
  for (const model::Point& point : model.points) {
    if (is_wanted(options.points, point.name))
      study.points.push_back(solve_point(model, point, options.solver));
  }
  for (PointResult& point : study.points) {
    if (!point.solution.converged || options.sampling.samples == 0) continue;
    point.samples = sample(model, point, options.sampling);
    add_sample_warnings(point);
  }
  for (Issue& issue : model::model_warnings(model, study.points.front().built)) {
    study.warnings.push_back(std::move(issue));
  }
  for (std::size_t i = 0; i < model.requirements.size(); ++i) {
    study.requirements.push_back(judge_all(model, i, study, options.strict));
  }
  study.status = status_of(study, options.strict);
  return study;
}

}  // namespace corefeed::studies
