// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>

#include "corefeed/on_threads.hpp"

namespace corefeed::cooling {
namespace {

/// Points that follow each other in one place of a batch: many, so that few begin far from a solution, but
/// not so many that there are too few blocks to share out. Part of the result, for what a point starts from
/// depends on it, and hence the same for any number of threads.
std::size_t run_length(std::size_t points) {
  constexpr std::size_t longest = 64;
  constexpr std::size_t least_blocks = 16;
  return std::clamp<std::size_t>(points / (Prepared::at_once * least_blocks), 4, longest);
}

Issue fault(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.text = std::move(text);
  return issue;
}

std::vector<Issue> check(const Case& problem, const Sweep& points) {
  std::vector<Issue> issues;
  Prepared prepared(problem);
  for (const std::string& name : points.inputs) {
    if (prepared.input(name)) continue;
    issues.push_back(fault("unknown_input",
                           fmt::format("{} is no number of an element or loop of this case", quoted(name))));
  }
  for (const std::string& name : points.outputs) {
    if (prepared.output(name)) continue;
    issues.push_back(fault("unknown_quantity", fmt::format("{} is no quantity of this case", quoted(name))));
  }
  if (points.inputs.empty() || points.values.size() % points.inputs.size() != 0) {
    issues.push_back(fault("wrong_count", fmt::format("{} values for {} inputs fill no whole rows",
                                                      points.values.size(), points.inputs.size())));
  }
  return issues;
}

}  // namespace

BlockSolver::BlockSolver(const Case& problem, const std::vector<std::string>& inputs,
                         const std::vector<std::string>& outputs, const SolveOptions& options,
                         std::span<const double> begin)
    : prepared_(problem, options) {
  for (const std::string& name : inputs) inputs_.push_back(prepared_.input(name).value());
  for (const std::string& name : outputs) outputs_.push_back(prepared_.output(name).value());
  for (std::size_t i = 0; i < begin.size(); ++i) prepared_.set(inputs_[i], begin[i]);
  prepared_.solve();
  prepared_.mark();
}

// Each place of the batch has a run of points that follow each other.
void BlockSolver::solve(std::span<const double> values, std::span<double> results,
                        std::span<char> converged) {
  prepared_.go_back();
  const std::size_t count = converged.size();
  const std::size_t length = (count + Prepared::at_once - 1) / Prepared::at_once;
  for (std::size_t step = 0; step < length; ++step) {
    places_.clear();
    for (std::size_t run = 0; run < Prepared::at_once; ++run) {
      if (run * length + step < count) places_.push_back(run * length + step);
    }
    solve_together(values, results, converged);
  }
}

void BlockSolver::solve_together(std::span<const double> values, std::span<double> results,
                                 std::span<char> converged) {
  const std::size_t width = inputs_.size();
  const std::size_t shown = outputs_.size();
  some_values_.clear();
  for (const std::size_t place : places_) {
    const auto row = values.subspan(place * width, width);
    some_values_.insert(some_values_.end(), row.begin(), row.end());
  }
  some_results_.resize(places_.size() * shown);
  some_converged_.resize(places_.size());
  prepared_.solve_several(inputs_, some_values_, outputs_, some_results_, some_converged_);
  for (std::size_t i = 0; i < places_.size(); ++i) {
    converged[places_[i]] = some_converged_[i];
    const auto row = std::span(some_results_).subspan(i * shown, shown);
    std::copy(row.begin(), row.end(), results.subspan(places_[i] * shown, shown).begin());
  }
}

Result<Swept> sweep(const Case& problem, const Sweep& points, const SolveOptions& options, int jobs) {
  std::vector<Issue> issues = check(problem, points);
  if (!issues.empty()) return issues;
  const std::size_t count = points.values.size() / points.inputs.size();
  Swept swept;
  swept.converged.resize(count);
  swept.values.resize(count * points.outputs.size());
  const std::size_t block_size = Prepared::at_once * run_length(count);
  std::atomic<std::size_t> next = 0;
  const std::size_t width = points.inputs.size();
  const std::size_t shown = points.outputs.size();
  const auto work = [&] {
    BlockSolver solver(problem, points.inputs, points.outputs, options);
    for (std::size_t first = next.fetch_add(block_size); first < count; first = next.fetch_add(block_size)) {
      const std::size_t size = std::min(block_size, count - first);
      solver.solve(std::span(points.values).subspan(first * width, size * width),
                   std::span(swept.values).subspan(first * shown, size * shown),
                   std::span(swept.converged).subspan(first, size));
    }
  };
  on_threads(static_cast<std::size_t>(std::max(jobs, 1)), work, [&] { next = count; });
  return swept;
}

}  // namespace corefeed::cooling
