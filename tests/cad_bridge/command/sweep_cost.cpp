// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>

#include "cad_bridge/proposal/geometry_source.hpp"
#include "corefeed/cooling/sweep.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/studies/sweep.hpp"

/// What a row of a sweep over the sample car costs, as a multiple of what the solver takes for the same
/// points. Both are measured in turns on one thread, by processor time; writing text is left out.
///
///     sweep_cost MODEL ROWS
namespace corefeed {
namespace {

constexpr int rounds = 10;

double processor_time() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

template <class T>
T sound(Result<T> result) {
  if (result) return std::move(result).value();
  fmt::print(stderr, "{}\n", describe(result.issues().front()));
  std::exit(1);
}

/// The plan's rows of some blocks as points of its case.
cooling::Sweep points_of(const studies::SweepPlan& plan, std::size_t first, std::size_t last) {
  cooling::Sweep points;
  for (const studies::SweepColumn& input : plan.inputs()) points.inputs.push_back(input.name);
  points.outputs = plan.question().shown;
  for (std::size_t row = first; row < last; ++row) {
    for (std::size_t input = 0; input < points.inputs.size(); ++input)
      points.values.push_back(plan.input(row, input));
  }
  return points;
}

int measure(const std::string& path, std::size_t rows) {
  model::ReadOptions options;
  options.geometry = proposal::step_source();
  const model::Model model = sound(model::read_model(path, options));
  const auto speeds = static_cast<std::size_t>(std::sqrt(static_cast<double>(rows)));
  studies::SweepQuestion question;
  for (const std::string& text : {fmt::format("fender_vent.area=250cm2:800cm2:{}", rows / speeds),
                                  fmt::format("speed=60km/h:220km/h:{}", speeds)})
    question.axes.push_back(sound(studies::read_axis(model, text)));
  question.points = {"fast straight"};
  const studies::SweepPlan plan = sound(studies::SweepPlan::make(model, question));
  const auto point = std::find_if(model.points.begin(), model.points.end(),
                                  [](const model::Point& one) { return one.name == "fast straight"; });
  const cooling::Case problem = model::build(model, *point).problem;

  studies::SweepSolver solver(plan);
  double study = 0.0;
  double alone = 0.0;
  double largest = 0.0;
  std::size_t unsolved = 0;
  for (int round = 0; round < rounds; ++round) {
    const std::size_t first = plan.blocks() * static_cast<std::size_t>(round) / rounds;
    const std::size_t last = plan.blocks() * static_cast<std::size_t>(round + 1) / rounds;
    const cooling::Sweep points = points_of(plan, plan.block_begin(first), plan.block_begin(last));
    double begun = processor_time();
    const cooling::Swept swept = sound(cooling::sweep(problem, points, {}, 1));
    alone += processor_time() - begun;
    begun = processor_time();
    std::vector<double> values;
    for (std::size_t block = first; block < last; ++block) {
      const studies::SweptRows found = solver.solve(block);
      values.insert(values.end(), found.values.begin(), found.values.end());
      for (const std::string& reason : found.reasons) unsolved += reason.empty() ? 0U : 1U;
    }
    study += processor_time() - begun;
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (!std::isnan(values[i])) largest = std::max(largest, std::abs(values[i] / swept.values[i] - 1.0));
    }
  }
  const double each = 1e6 / static_cast<double>(plan.rows());
  fmt::print("{} rows, {} of them without solution; largest difference {:.1e}\n", plan.rows(), unsolved,
             largest);
  fmt::print("a row {:.2f} us, the solver's own {:.2f} us, ratio {:.3f}\n", each * study, each * alone,
             study / alone);
  return 0;
}

}  // namespace
}  // namespace corefeed

int main(int argc, char** argv) {
  if (argc == 3) return corefeed::measure(argv[1], std::strtoull(argv[2], nullptr, 10));
  fmt::print(stderr, "sweep_cost MODEL ROWS\n");
  return 2;
}
