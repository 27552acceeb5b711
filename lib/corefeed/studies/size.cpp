// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/size.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

#include "corefeed/model/parameter.hpp"
#include "corefeed/studies/advice.hpp"
#include "corefeed/studies/budget.hpp"
#include "corefeed/studies/rules.hpp"
#include "corefeed/studies/words.hpp"

namespace corefeed::studies {
namespace {

/// The state of the model at one value of the parameters.
struct Probe {
  double at = 0;
  double margin = 0;    ///< of the governing point; positive where the target holds
  double quantity = 0;  ///< there
  std::string point;
  bool converged = true;
  bool several = false;  ///< more than one operating point: no answer to give

  bool has_answer() const { return converged && !several; }
  bool holds() const { return margin >= 0.0; }
};

/// Solves the model at trial sizes.
class Trial {
 public:
  Trial(const model::Model& model, std::vector<model::Parameter> parameters, const SizeQuestion& question,
        const StudyOptions& options)
      : model_(model), parameters_(std::move(parameters)), question_(question), options_(options) {
    const double first = model::parameter_value(model, parameters_.front());
    // The first moves alone where it is zero now.
    ratios_.assign(1, 1.0);
    for (std::size_t i = 1; i < parameters_.size(); ++i)
      ratios_.push_back(model::parameter_value(model, parameters_[i]) / first);
  }

  void set(double value) {
    for (std::size_t i = 0; i < parameters_.size(); ++i) {
      model::set_parameter(model_, parameters_[i], value * ratios_[i]);
    }
  }

  Probe at(double value) {
    set(value);
    Probe probe;
    probe.at = value;
    for (const model::Point& point : model_.points) {
      if (!wanted(point.name)) continue;
      const PointResult result = solve_point(model_, point, options_.solver);
      if (!result.solution.converged) {
        probe.converged = false;
        probe.point = point.name;
        return probe;
      }
      if (!result.solution.further.empty()) {
        probe.several = true;
        probe.point = point.name;
        return probe;
      }
      const double quantity = result.solution.value(question_.quantity).value_or(0.0);
      const double margin = question_.at_least ? quantity - question_.target : question_.target - quantity;
      if (!probe.point.empty() && margin >= probe.margin) continue;
      probe.margin = margin;
      probe.quantity = quantity;
      probe.point = point.name;
    }
    return probe;
  }

  /// Of a point that a probe has named.
  PointResult result_at(const std::string& name) const {
    const auto point = std::find_if(model_.points.begin(), model_.points.end(),
                                    [&name](const model::Point& one) { return one.name == name; });
    return solve_point(model_, *point, options_.solver);
  }

  bool wanted(const std::string& name) const {
    const auto& points = question_.points;
    return points.empty() || std::find(points.begin(), points.end(), name) != points.end();
  }

  model::Model& model() { return model_; }
  const std::vector<model::Parameter>& parameters() const { return parameters_; }
  /// Of a parameter to the first.
  double ratio(std::size_t parameter) const { return ratios_[parameter]; }

 private:
  model::Model model_;
  std::vector<model::Parameter> parameters_;
  std::vector<double> ratios_;
  const SizeQuestion& question_;
  const StudyOptions& options_;
};

/// Values over the range, evenly in ratio where it is positive.
std::vector<double> grid(double lowest, double highest) {
  constexpr int steps = 24;
  std::vector<double> values;
  for (int i = 0; i <= steps; ++i) {
    const double share = static_cast<double>(i) / steps;
    values.push_back(lowest > 0.0 ? lowest * std::pow(highest / lowest, share)
                                  : lowest + share * (highest - lowest));
  }
  values.back() = highest;
  return values;
}

/// What eats most of the air's head at the best size, of each core that the quantity speaks of.
std::string eaten_text(const PointResult& result, std::string_view quantity) {
  std::string text;
  for (const std::size_t core : cores_of(result, quantity.substr(0, quantity.find('.')))) {
    const Budget* budget = budget_of_core(result, core);
    if (budget == nullptr || budget->lines.empty()) continue;
    const Eater largest = eaters_of(*budget).front();
    text += fmt::format("{} eats {:.0f} % of the head that drives the air of {}; ", largest.name,
                        100.0 * largest.share, budget->core);
  }
  return text;
}

/// What keeps the target out of reach, and the strongest other levers on the quantity.
std::string limits_text(Trial& trial, const Probe& best, const std::string& quantity) {
  const PointResult result = trial.result_at(best.point);
  std::vector<std::string> levers;
  for (const Influence& influence : levers_on(trial.model(), result, quantity)) {
    const auto& varied = trial.parameters();
    const bool own = std::any_of(varied.begin(), varied.end(), [&influence](const model::Parameter& one) {
      return one.name == influence.parameter;
    });
    if (own || levers.size() == 3) continue;
    levers.push_back(fmt::format("{} (elasticity {:+.2f})", influence.parameter, influence.elasticity));
  }
  if (levers.empty()) return eaten_text(result, quantity) + "no other number of the model helps";
  return fmt::format("{}stronger levers: {}", eaten_text(result, quantity), fmt::join(levers, ", "));
}

void finish(Trial& trial, const SizeQuestion& question, const Probe& probe, Size& size) {
  trial.set(probe.at);
  size.value = probe.at;
  size.quantity = probe.quantity;
  size.point = probe.point;
  const PointResult result = trial.result_at(probe.point);
  const Uncertainty uncertainty = uncertainty_of(trial.model(), result, question.quantity);
  // All that are varied move with the first.
  double slope = 0.0;
  for (const Influence& influence : uncertainty.influences) {
    for (std::size_t i = 0; i < trial.parameters().size(); ++i) {
      if (influence.parameter == trial.parameters()[i].name) slope += influence.derivative * trial.ratio(i);
    }
  }
  if (slope != 0.0) size.sigma = uncertainty.sigma / std::abs(slope);
  for (const model::Parameter& parameter : trial.parameters()) {
    size.values.push_back(model::parameter_value(trial.model(), parameter));
    model::write_parameter(trial.model(), parameter);
  }
  size.sized = trial.model();
}

Issue several_solutions(const Size& size, const Trial& trial, const Probe& probe) {
  Issue issue = usage(
      "several_solutions",
      fmt::format("at {} = {} the point {} has several possible operating points, so there is no "
                  "one size to give; look at them with solve",
                  size.parameter, units::show(probe.at, trial.parameters().front().quantity), probe.point));
  issue.status = Status::no_solution;
  return issue;
}

/// The last value with an answer from `good` on towards one that has none.
Probe end_of_stretch(Trial& trial, Probe good, double none) {
  constexpr int halvings = 40;
  for (int i = 0; i < halvings; ++i) {
    Probe middle = trial.at(0.5 * (good.at + none));
    if (middle.has_answer()) {
      good = std::move(middle);
    } else {
      none = middle.at;
    }
  }
  return good;
}

Issue no_solution_warning(std::string text) {
  Issue issue = usage("no_solution", std::move(text));
  issue.status = Status::no_solution;
  issue.severity = Severity::warning;
  return issue;
}

/// Closes in on the crossing between two probes. Where it lies in a stretch without a solution, the end of
/// that stretch on which the target holds is the answer: no size has the target itself.
Result<Probe> crossing(Trial& trial, Probe a, Probe b, Size& size) {
  constexpr int most_stretches = 8;
  const units::Quantity quantity = trial.parameters().front().quantity;
  for (int stretch = 0; stretch < most_stretches; ++stretch) {
    if (a.margin == 0.0) return a;
    if (b.margin == 0.0) return b;
    std::optional<Probe> none;
    const auto margin = [&](double value) {
      // A zero ends the search.
      if (none) return 0.0;
      Probe probe = trial.at(value);
      if (probe.has_answer()) return probe.margin;
      none = std::move(probe);
      return 0.0;
    };
    std::uintmax_t steps = 60;
    const auto [low, high] = boost::math::tools::toms748_solve(
        margin, a.at, b.at, a.margin, b.margin, boost::math::tools::eps_tolerance<double>(40), steps);
    if (!none) {
      // The end on which the target holds.
      const Probe first = trial.at(low);
      return first.holds() ? first : trial.at(high);
    }
    if (none->several) return several_solutions(size, trial, *none);
    Probe before = end_of_stretch(trial, a, none->at);
    Probe after = end_of_stretch(trial, b, none->at);
    if (before.holds() != a.holds()) {
      b = std::move(before);
    } else if (after.holds() != b.holds()) {
      a = std::move(after);
    } else {
      size.warnings.push_back(no_solution_warning(
          fmt::format("the target is crossed between {} = {} and {}, where there is no solution; "
                      "the end of that stretch is given",
                      size.parameter, units::show(before.at, quantity), units::show(after.at, quantity))));
      return before.holds() ? before : after;
    }
  }
  size.warnings.push_back(no_solution_warning(fmt::format(
      "the target is crossed between {} = {} and {}, among more than {} stretches without a solution; "
      "the end on which it holds is given",
      size.parameter, units::show(a.at, quantity), units::show(b.at, quantity), most_stretches)));
  return a.holds() ? a : b;
}

/// A stretch of the range without a solution.
struct Gap {
  double from = 0;
  double to = 0;
  std::string point;
};

Issue gap_warning(const Gap& gap, const Size& size, units::Quantity quantity) {
  const std::string from = units::show(gap.from, quantity);
  const std::string where = gap.from == gap.to ? from : from + " to " + units::show(gap.to, quantity);
  return no_solution_warning(
      fmt::format("no solution at {} = {} in point {}", size.parameter, where, gap.point));
}

/// The whole range on a grid; stretches without a solution become warnings.
Result<std::vector<Probe>> scan(Trial& trial, Size& size) {
  std::vector<Probe> probes;
  std::vector<Gap> gaps;
  bool in_gap = false;
  for (const double value : grid(size.lowest, size.highest)) {
    Probe probe = trial.at(value);
    if (probe.several) return several_solutions(size, trial, probe);
    if (probe.converged) {
      probes.push_back(std::move(probe));
      in_gap = false;
    } else if (in_gap && gaps.back().point == probe.point) {
      gaps.back().to = value;
    } else {
      gaps.push_back({value, value, probe.point});
      in_gap = true;
    }
  }
  const units::Quantity quantity = trial.parameters().front().quantity;
  for (const Gap& gap : gaps) size.warnings.push_back(gap_warning(gap, size, quantity));
  return probes;
}

Result<std::vector<model::Parameter>> parameters_of(const model::Model& model, const SizeQuestion& question) {
  std::vector<model::Parameter> parameters;
  for (const std::string& name : question.parameters) {
    Result<model::Parameter> found = model::find_parameter(model, name);
    if (!found) return found.issues();
    parameters.push_back(found.value());
  }
  if (parameters.size() > 1 && model::parameter_value(model, parameters.front()) == 0.0) {
    return usage("bad_range",
                 fmt::format("{} is 0, so the others have no ratio to keep to it", question.parameters[0]));
  }
  return parameters;
}

/// The range asked for, kept inside the parameter's own bounds.
Result<std::pair<double, double>> range_of(const model::Model& model, const model::Parameter& parameter,
                                           const SizeQuestion& question) {
  const double now = model::parameter_value(model, parameter);
  double low = question.lowest.value_or(now > 0.0 ? 0.2 * now : 5.0 * now);
  double high = question.highest.value_or(now > 0.0 ? 5.0 * now : 0.2 * now);
  const double floor = parameter.above_lowest ? parameter.lowest + 1e-12 : parameter.lowest;
  low = std::max(low, floor);
  high = std::min(high, parameter.highest);
  if (low < high) return std::pair{low, high};
  return usage(
      "bad_range",
      fmt::format("the range of {} is empty: from {} to {}; give one with --range LOW HIGH", parameter.name,
                  units::show(low, parameter.quantity), units::show(high, parameter.quantity)));
}

}  // namespace

Result<Size> size(const model::Model& model, const SizeQuestion& question, const StudyOptions& options) {
  Result<std::vector<model::Parameter>> parameters = parameters_of(model, question);
  if (!parameters) return parameters.issues();
  const Result<std::pair<double, double>> range = range_of(model, parameters.value().front(), question);
  if (!range) return range.issues();
  Trial trial(model, parameters.value(), question, options);
  trial.set(0.5 * (range.value().first + range.value().second));
  const std::vector<Issue> broken =
      broken_rules(trial.model(), parameters.value(), "with the number to size");
  if (!broken.empty()) return broken;
  Size size;
  size.parameter = parameters.value().front().name;
  std::tie(size.lowest, size.highest) = range.value();

  const Result<std::vector<Probe>> scanned = scan(trial, size);
  if (!scanned) return scanned.issues();
  const std::vector<Probe>& probes = scanned.value();
  if (probes.empty()) {
    Issue issue = size.warnings.front();
    issue.severity = Severity::error;
    return issue;
  }
  std::vector<std::size_t> crossings;
  for (std::size_t i = 1; i < probes.size(); ++i) {
    if (probes[i - 1].holds() != probes[i].holds()) crossings.push_back(i);
  }
  if (crossings.size() > 1) {
    Issue issue = usage("several_crossings",
                        fmt::format("the target is crossed {} times in the range; the crossing at the "
                                    "smallest size is given",
                                    crossings.size()));
    issue.severity = Severity::warning;
    size.warnings.push_back(std::move(issue));
  }
  if (!crossings.empty()) {
    const Result<Probe> found =
        crossing(trial, probes[crossings.front() - 1], probes[crossings.front()], size);
    if (!found) return found.issues();
    size.reached = true;
    finish(trial, question, found.value(), size);
    return size;
  }
  size.reached = probes.front().holds();
  const auto best = std::max_element(probes.begin(), probes.end(),
                                     [](const Probe& a, const Probe& b) { return a.margin < b.margin; });
  if (size.reached) {
    // It holds over the whole range: nothing has to change, unless there is no solution as it is.
    const double now =
        std::clamp(model::parameter_value(model, parameters.value().front()), size.lowest, size.highest);
    const Probe here = trial.at(now);
    if (here.several) return several_solutions(size, trial, here);
    const auto nearest = std::min_element(
        probes.begin(), probes.end(),
        [now](const Probe& a, const Probe& b) { return std::abs(a.at - now) < std::abs(b.at - now); });
    finish(trial, question, here.converged ? here : *nearest, size);
    return size;
  }
  finish(trial, question, *best, size);
  size.limited_by = limits_text(trial, *best, question.quantity);
  return size;
}

}  // namespace corefeed::studies
