// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

#include "corefeed/cooling/prepared.hpp"

namespace corefeed::cooling {
namespace {

/// Points that follow each other on one thread. Part of the result: what a point starts from depends on it.
constexpr std::size_t block_size = 64;

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

  Lane(const Case& problem, const Sweep& points, const SolveOptions& options) : prepared(problem, options) {
    for (const std::string& name : points.inputs) inputs.push_back(prepared.input(name).value());
    for (const std::string& name : points.outputs) outputs.push_back(prepared.output(name).value());
    prepared.solve();
    prepared.mark();
  }

  void solve_block(const Sweep& points, std::size_t first, Swept& swept) {
    prepared.go_back();
    const std::size_t end = std::min(first + block_size, swept.converged.size());
    for (std::size_t point = first; point < end; ++point) {
      for (std::size_t i = 0; i < inputs.size(); ++i) {
        prepared.set(inputs[i], points.values[point * inputs.size() + i]);
      }
      const bool converged = prepared.solve().converged;
      swept.converged[point] = converged ? 1 : 0;
      for (std::size_t i = 0; i < outputs.size(); ++i) {
        swept.values[point * outputs.size() + i] = converged ? prepared.value(outputs[i]) : std::nan("");
      }
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
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    Lane lane(problem, points, options);
    for (std::size_t first = next.fetch_add(block_size); first < count; first = next.fetch_add(block_size)) {
      lane.solve_block(points, first, swept);
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
