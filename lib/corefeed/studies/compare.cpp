// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/compare.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "corefeed/studies/compare_point.hpp"

namespace corefeed::studies {
namespace {

using units::Quantity;

const model::Point* find_point(const model::Model& model, const std::string& name) {
  for (const model::Point& point : model.points) {
    if (point.name == name) return &point;
  }
  return nullptr;
}

/// Every point name in the order in which the alternatives have them.
std::vector<std::string> all_points(const std::vector<Alternative>& alternatives) {
  std::vector<std::string> names;
  for (const Alternative& alternative : alternatives) {
    for (const model::Point& point : alternative.model.points) {
      if (std::find(names.begin(), names.end(), point.name) == names.end()) names.push_back(point.name);
    }
  }
  return names;
}

Issue issue_of(std::string code, Status status, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = status;
  issue.text = std::move(text);
  return issue;
}

std::vector<Issue> point_faults(const std::vector<Alternative>& alternatives,
                                const std::vector<std::string>& wanted) {
  const std::vector<std::string> known = all_points(alternatives);
  std::vector<Issue> issues;
  for (const std::string& name : wanted.empty() ? known : wanted) {
    if (std::find(known.begin(), known.end(), name) == known.end()) {
      issues.push_back(issue_of(
          "unknown_point", Status::usage,
          fmt::format("no alternative has a point {}; there are: {}", quoted(name), fmt::join(known, ", "))));
      continue;
    }
    for (const Alternative& alternative : alternatives) {
      if (find_point(alternative.model, name) != nullptr) continue;
      issues.push_back(
          issue_of("missing_point", Status::input,
                   fmt::format("{} lacks the point {} that another has; alternatives are compared at points "
                               "that all have, which --point chooses",
                               alternative.name, quoted(name))));
    }
  }
  return issues;
}

/// What differs besides the car itself, and so stands in every difference.
class Conditions {
 public:
  Conditions(const Alternative& first, const Alternative& other, std::vector<Issue>& warnings)
      : first_(first), other_(other), warnings_(warnings) {}

  void of_day() {
    const model::Model& a = first_.model;
    const model::Model& b = other_.model;
    same("ambient temperature", a.temperature, b.temperature, Quantity::temperature);
    same("ambient pressure", a.pressure, b.pressure, Quantity::pressure_absolute);
    same("relative humidity", a.relative_humidity, b.relative_humidity, Quantity::number);
    same("frontal area", a.frontal_area, b.frontal_area, Quantity::area);
  }

  void of_point(const PointResult& a, const PointResult& b) {
    const model::Point* in_first = find_point(first_.model, a.name);
    const model::Point* in_other = find_point(other_.model, a.name);
    same("speed at " + a.name, in_first->speed, in_other->speed, Quantity::speed);
    same("yaw at " + a.name, in_first->yaw, in_other->yaw, Quantity::angle);
    for (const cooling::Loop& loop : a.built.problem.loops) {
      for (const cooling::Loop& same_loop : b.built.problem.loops) {
        if (loop.name != same_loop.name) continue;
        same(fmt::format("heat load of {} at {}", loop.name, a.name), loop.heat_load, same_loop.heat_load,
             Quantity::power);
      }
    }
  }

 private:
  void same(const std::string& what, double in_first, double in_other, Quantity kind) {
    if (in_first == in_other) return;
    const auto shown = [kind](double value) {
      return kind == Quantity::number ? fmt::format("{:.4g}", value) : units::show(value, kind);
    };
    Issue issue = issue_of("different_conditions", Status::input,
                           fmt::format("{} is {} in {} and {} in {}; the difference stands in all results",
                                       what, shown(in_other), other_.name, shown(in_first), first_.name));
    issue.severity = Severity::warning;
    warnings_.push_back(std::move(issue));
  }

  const Alternative& first_;
  const Alternative& other_;
  std::vector<Issue>& warnings_;
};

void sort_points(const std::vector<model::Point>& order, Study& study) {
  const auto place = [&order](const PointResult& result) {
    return std::find_if(order.begin(), order.end(),
                        [&result](const model::Point& point) { return point.name == result.name; });
  };
  std::stable_sort(study.points.begin(), study.points.end(),
                   [&place](const PointResult& a, const PointResult& b) { return place(a) < place(b); });
}

const PointResult& result_at(const Study& study, const std::string& name) {
  return *std::find_if(study.points.begin(), study.points.end(),
                       [&name](const PointResult& point) { return point.name == name; });
}

/// Ranks alternatives, each with a figure that is better the higher it is.
class Ranker {
 public:
  Ranker(const std::vector<Alternative>& alternatives, const std::vector<Study>& studies)
      : alternatives_(alternatives), studies_(studies) {}

  Ranking by_requirement(const model::Requirement& requirement) const {
    Ranking ranking{requirement.name, requirement.quantity, requirement.kind, {}};
    std::vector<Entry> entries;
    for (std::size_t a = 0; a < alternatives_.size(); ++a) {
      const model::Requirement* own = nullptr;
      const Judgment* worst = worst_of(a, requirement.name, own);
      // Under one name, two files may require different things.
      if (worst == nullptr || own->quantity != requirement.quantity || own->at_least != requirement.at_least)
        continue;
      entries.push_back({worst->margin, {a, 1, worst->point, worst->value, worst->sigma, worst->verdict}});
    }
    sort(std::move(entries), ranking);
    return ranking;
  }

  Ranking by_loop(const std::string& loop) const {
    Ranking ranking{"", loop + ".temperature", Quantity::temperature, {}};
    std::vector<Entry> entries;
    for (std::size_t a = 0; a < alternatives_.size(); ++a) {
      if (studies_[a].status == Status::no_solution) continue;
      const PointResult* hottest = nullptr;
      double most = 0.0;
      for (const PointResult& point : studies_[a].points) {
        const auto value = point.solution.value(ranking.quantity);
        if (!value || (hottest != nullptr && *value <= most)) continue;
        hottest = &point;
        most = *value;
      }
      if (hottest == nullptr) continue;
      const double sigma = uncertainty_of(alternatives_[a].model, *hottest, ranking.quantity).sigma;
      entries.push_back({-most, {a, 1, hottest->name, most, sigma, std::nullopt}});
    }
    sort(std::move(entries), ranking);
    return ranking;
  }

 private:
  struct Entry {
    double figure;
    Ranked ranked;
  };

  const Judgment* worst_of(std::size_t a, const std::string& name, const model::Requirement*& own) const {
    if (studies_[a].status == Status::no_solution) return nullptr;
    for (const JudgedRequirement& judged : studies_[a].requirements) {
      own = &alternatives_[a].model.requirements[judged.index];
      if (own->name == name && !judged.judgments.empty()) return &judged.judgments[judged.worst];
    }
    return nullptr;
  }

  void sort(std::vector<Entry> entries, Ranking& ranking) const {
    std::stable_sort(entries.begin(), entries.end(),
                     [](const Entry& a, const Entry& b) { return a.figure > b.figure; });
    for (std::size_t i = 1; i < entries.size(); ++i) {
      const double gap = entries[i - 1].figure - entries[i].figure;
      const double noise = solver_noise * std::abs(entries[i].ranked.value);
      const bool apart =
          gap > noise && gap > sigma_between(entries[i - 1].ranked, entries[i].ranked, ranking.quantity);
      entries[i].ranked.rank = entries[i - 1].ranked.rank + (apart ? 1 : 0);
    }
    for (Entry& entry : entries) ranking.places.push_back(std::move(entry.ranked));
  }

  double sigma_between(const Ranked& a, const Ranked& b, const std::string& quantity) const {
    const PointResult& one = result_at(studies_[a.alternative], a.point);
    const PointResult& other = result_at(studies_[b.alternative], b.point);
    return sigma_of_change(one, uncertainty_of(alternatives_[a.alternative].model, one, quantity), other,
                           uncertainty_of(alternatives_[b.alternative].model, other, quantity));
  }

  const std::vector<Alternative>& alternatives_;
  const std::vector<Study>& studies_;
};

std::vector<Ranking> rankings_of(const std::vector<Alternative>& alternatives,
                                 const std::vector<Study>& studies) {
  const Ranker ranker(alternatives, studies);
  std::vector<Ranking> rankings;
  const auto add = [&rankings](Ranking ranking) {
    if (ranking.places.size() > 1) rankings.push_back(std::move(ranking));
  };
  std::vector<std::string> seen;
  const auto is_new = [&seen](const std::string& name) {
    if (std::find(seen.begin(), seen.end(), name) != seen.end()) return false;
    seen.push_back(name);
    return true;
  };
  for (const Alternative& alternative : alternatives) {
    for (const model::Requirement& one : alternative.model.requirements) {
      if (is_new(one.name)) add(ranker.by_requirement(one));
    }
  }
  // A loop whose temperature is required somewhere has its ranking already.
  seen.clear();
  for (const Ranking& ranking : rankings) seen.push_back(ranking.quantity);
  for (const Alternative& alternative : alternatives) {
    for (const model::Loop& loop : alternative.model.loops) {
      if (is_new(loop.name + ".temperature")) add(ranker.by_loop(loop.name));
    }
  }
  return rankings;
}

}  // namespace

Result<Comparison> compare(const std::vector<Alternative>& alternatives, const StudyOptions& options) {
  assert(alternatives.size() > 1);
  std::vector<Issue> faults = point_faults(alternatives, options.points);
  if (!faults.empty()) return faults;
  Comparison comparison;
  for (const Alternative& alternative : alternatives) {
    Result<Study> study = run_study(alternative.model, options);
    if (!study) return study.issues();
    sort_points(alternatives.front().model.points, study.value());
    if (study.value().status == Status::no_solution) comparison.status = Status::no_solution;
    comparison.names.push_back(alternative.name);
    comparison.studies.push_back(std::move(study).value());
  }
  for (std::size_t a = 1; a < alternatives.size(); ++a) {
    Conditions conditions(alternatives.front(), alternatives[a], comparison.warnings);
    conditions.of_day();
    for (std::size_t p = 0; p < comparison.studies[a].points.size(); ++p)
      conditions.of_point(comparison.studies.front().points[p], comparison.studies[a].points[p]);
  }
  for (std::size_t p = 0; p < comparison.studies.front().points.size(); ++p) {
    std::vector<Subject> subjects;
    for (std::size_t a = 0; a < alternatives.size(); ++a)
      subjects.push_back({&alternatives[a].model, &comparison.studies[a].points[p]});
    comparison.points.push_back(compare_point(subjects));
  }
  comparison.rankings = rankings_of(alternatives, comparison.studies);
  return comparison;
}

}  // namespace corefeed::studies
