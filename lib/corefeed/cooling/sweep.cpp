// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <thread>

#include "corefeed/cooling/prepared.hpp"

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

/// One thread's own equations, with the places of inputs and outputs in them.
struct Lane {
  Prepared prepared;
  std::vector<std::size_t> inputs, outputs;
  std::vector<double> values, results;
  std::vector<char> converged;

  Lane(const Case& problem, const Sweep& points, const SolveOptions& options) : prepared(problem, options) {
    for (const std::string& name : points.inputs) inputs.push_back(prepared.input(name).value());
    for (const std::string& name : points.outputs) outputs.push_back(prepared.output(name).value());
    prepared.solve();
    prepared.mark();
  }

  /// Each place of the batch has a run of points that follow each other.
  void solve_block(const Sweep& points, std::size_t first, std::size_t block_size, Swept& swept) {
    prepared.go_back();
    const std::size_t count = std::min(block_size, swept.converged.size() - first);
    const std::size_t length = (count + Prepared::at_once - 1) / Prepared::at_once;
    std::vector<std::size_t> places;
    for (std::size_t step = 0; step < length; ++step) {
      places.clear();
      for (std::size_t run = 0; run < Prepared::at_once; ++run) {
        if (run * length + step < count) places.push_back(first + run * length + step);
      }
      solve_together(points, places, swept);
    }
  }

  void solve_together(const Sweep& points, const std::vector<std::size_t>& places, Swept& swept) {
    values.clear();
    for (const std::size_t place : places) {
      const auto row = points.values.begin() + static_cast<std::ptrdiff_t>(place * inputs.size());
      values.insert(values.end(), row, row + static_cast<std::ptrdiff_t>(inputs.size()));
    }
    results.resize(places.size() * outputs.size());
    converged.resize(places.size());
    prepared.solve_several(inputs, values, outputs, results, converged);
    for (std::size_t i = 0; i < places.size(); ++i) {
      swept.converged[places[i]] = converged[i];
      std::copy_n(results.begin() + static_cast<std::ptrdiff_t>(i * outputs.size()), outputs.size(),
                  swept.values.begin() + static_cast<std::ptrdiff_t>(places[i] * outputs.size()));
    }
  }
};

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

Result<Swept> sweep(const Case& problem, const Sweep& points, const SolveOptions& options, int jobs) {
  std::vector<Issue> issues = check(problem, points);
  if (!issues.empty()) return issues;
  const std::size_t count = points.values.size() / points.inputs.size();
  Swept swept;
  swept.converged.resize(count);
  swept.values.resize(count * points.outputs.size());
  const std::size_t block_size = Prepared::at_once * run_length(count);
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    Lane lane(problem, points, options);
    for (std::size_t first = next.fetch_add(block_size); first < count; first = next.fetch_add(block_size)) {
      lane.solve_block(points, first, block_size, swept);
    }
  };
  {
    std::vector<std::jthread> helpers;
    for (int job = 1; job < jobs; ++job) helpers.emplace_back(work);
    work();
  }
  return swept;
}

}  // namespace corefeed::cooling
