// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <thread>

#include "corefeed/cooling/sweep.hpp"
#include "corefeed/network/adjoint.hpp"
#include "tests/benchmarks/large_grids.hpp"
#include "tests/benchmarks/networks.hpp"
#include "tests/benchmarks/subject.hpp"

/// Measures the library side by side with general solvers that are given the same equations, in one run, and
/// prints the ratios. Answers are compared before anything is timed.
namespace corefeed::benchmarks {
namespace {

constexpr network::Moving flow_alone{.flow = true, .heat = false};
constexpr network::Moving flow_and_heat{};

/// Solvers of one set of equations, by name; ours comes first.
struct Contest {
  std::string name;
  std::shared_ptr<Subject> subject;
  std::vector<std::pair<std::string, std::shared_ptr<Peer>>> peers;
};

void fail(const std::string& text) {
  std::fputs((text + "\n").c_str(), stderr);
  std::exit(1);
}

/// Every solver has to come to our answer, from the start and after a change.
void compare_answers(Contest& contest) {
  std::vector<double> ours = contest.subject->start();
  if (!contest.subject->solve_from_start(ours)) fail(contest.name + ": ours does not converge");
  fmt::print("{}: {} equations, ours {} steps", contest.name, contest.subject->work().size(),
             contest.subject->iterations());
  for (auto peer = contest.peers.begin(); peer != contest.peers.end();) {
    std::vector<double> theirs = contest.subject->start();
    const bool solved = peer->second->solve(theirs);
    const double difference = contest.subject->difference(ours, theirs);
    // A root that differs by more than this is another answer; times are then not comparable.
    constexpr double same = 1e-6;
    const bool agrees = solved && difference <= same;
    fmt::print("; {} {} by {:.1e}", peer->first, agrees ? "agrees" : "DOES NOT AGREE and is left out, off",
               difference);
    peer = agrees ? peer + 1 : contest.peers.erase(peer);
  }
  fmt::print("\n");
}

/// Names of all that is measured, in the order in which it is shown.
std::vector<std::string>& entered() {
  static std::vector<std::string> names;
  return names;
}

template <class Solve>
void measure(const std::string& name, Solve solve) {
  entered().push_back(name);
  benchmark::RegisterBenchmark(name.c_str(), [solve](benchmark::State& state) {
    for (auto _ : state) {
      if (!solve()) state.SkipWithError("not converged");
    }
  });
}

/// From the start each time.
template <class Solver>
void measure_cold(const Contest& contest, const std::string& who, Solver solver) {
  auto x = std::make_shared<std::vector<double>>(contest.subject->start());
  measure(contest.name + ", cold/" + who, [subject = contest.subject, solver, x] {
    std::copy(subject->start().begin(), subject->start().end(), x->begin());
    return solver->solve(*x);
  });
}

void measure_ours_cold(const Contest& contest) {
  auto x = std::make_shared<std::vector<double>>(contest.subject->start());
  measure(contest.name + ", cold/ours", [subject = contest.subject, x] {
    std::copy(subject->start().begin(), subject->start().end(), x->begin());
    return subject->solve_from_start(*x);
  });
}

/// From the last solution, after the dynamic head has changed by 1 %.
template <class Solver>
void measure_warm(const Contest& contest, const std::string& who, Solver solver) {
  auto x = std::make_shared<std::vector<double>>(contest.subject->start());
  contest.subject->solve_from_start(*x);
  auto faster = std::make_shared<bool>(false);
  measure(contest.name + ", warm/" + who, [subject = contest.subject, solver, x, faster] {
    subject->change_speed(*faster = !*faster);
    return solver->solve(*x);
  });
}

void enter(Contest contest, bool warm) {
  compare_answers(contest);
  measure_ours_cold(contest);
  for (const auto& [name, peer] : contest.peers) measure_cold(contest, name, peer);
  if (!warm) return;
  measure_warm(contest, "ours", contest.subject);
  for (const auto& [name, peer] : contest.peers) measure_warm(contest, name, peer);
}

Contest contest_of(std::string name, cooling::Case problem, network::Moving moving, bool dense) {
  Contest contest{std::move(name), std::make_shared<Subject>(std::move(problem), moving), {}};
  network::Workspace& work = contest.subject->work();
  contest.peers.emplace_back("KINSOL KLU", kinsol_klu(work));
  if (dense) contest.peers.emplace_back("KINSOL dense", kinsol_dense(work));
  if (dense) contest.peers.emplace_back("Ceres", ceres_dense(work));
  return contest;
}

/// Adjoint of the hottest coolant to every number of the car, from the solved state: against solving it.
void enter_gradient() {
  auto subject = std::make_shared<Subject>(car(1), flow_and_heat);
  auto solution = std::make_shared<std::vector<double>>(subject->start());
  if (!subject->solve_from_start(*solution)) fail("car with heat: not converged");
  const int hottest = static_cast<int>(subject->start().size()) - 2;
  const auto quantity =
      network::make_function({hottest}, {}, []<class S>(const S* x, const S*) { return x[0]; });
  measure("car with heat, gradient/solution, set up anew", [] { return cooling::solve(car(1)).converged; });
  auto x = std::make_shared<std::vector<double>>(subject->start());
  measure("car with heat, gradient/solution from the start", [subject, x] {
    std::copy(subject->start().begin(), subject->start().end(), x->begin());
    return subject->solve_from_start(*x);
  });
  measure("car with heat, gradient/gradient of one quantity", [subject, solution, quantity] {
    network::Adjoint adjoint(subject->assembly().system, *solution);
    return !adjoint.gradient(quantity).empty();
  });
  measure("car with heat, gradient/first gradient in the solution's workspace",
          [subject, solution, quantity] {
            network::Adjoint adjoint(subject->work(), *solution);
            return !adjoint.gradient(quantity).empty();
          });
  auto kept = std::make_shared<network::Adjoint>(subject->assembly().system, *solution);
  measure("car with heat, gradient/gradient of a further quantity",
          [kept, quantity] { return !kept->gradient(quantity).empty(); });
}

/// Speed and vent area over a range, all points of it, on so many threads; per point.
void enter_sweep(std::size_t count) {
  cooling::Sweep points{{"speed", "fender_vent.area"}, {"coolant.temperature", "car.cooling_drag"}, {}};
  const std::size_t columns = 64;
  for (std::size_t i = 0; i < count; ++i) {
    const auto row = static_cast<double>(i / columns) / static_cast<double>(count / columns);
    points.values.push_back(30.0 + 30.0 * row);
    points.values.push_back(0.04 + 0.04 * static_cast<double>(i % columns) / static_cast<double>(columns));
  }
  for (const int jobs : {1, 2}) {
    const std::string who = jobs == 1 ? "1 thread" : "2 threads";
    const std::string name = fmt::format("sweep of {} points with heat/{}", count, who);
    entered().push_back(name);
    benchmark::RegisterBenchmark(name.c_str(),
                                 [points, jobs](benchmark::State& state) {
                                   const cooling::Case problem = car(1);
                                   for (auto _ : state) {
                                     const auto swept = cooling::sweep(problem, points, {}, jobs);
                                     if (!swept.ok()) state.SkipWithError("not swept");
                                   }
                                 })
        ->UseRealTime()
        ->Unit(benchmark::kMillisecond)
        ->Iterations(1);
  }
}

/// Keeps what was measured, to set it in proportion at the end.
class Ratios : public benchmark::ConsoleReporter {
 public:
  void ReportRuns(const std::vector<Run>& runs) override {
    ConsoleReporter::ReportRuns(runs);
    for (const Run& run : runs) {
      if (run.run_type != Run::RT_Iteration || run.error_occurred) continue;
      const std::string name = run.run_name.function_name;
      // Other programs do not count; of several threads the time that passes does.
      const bool threads = name.find("thread") != std::string::npos;
      const double time = threads ? run.real_accumulated_time : run.cpu_accumulated_time;
      times_[name].push_back(time / static_cast<double>(run.iterations));
    }
  }

  /// Median times, and each as a multiple of the first of its group: ours, a solution, one thread.
  void print(const std::vector<std::string>& order) const {
    fmt::print("\n| problem | solver | time, us | ratio |\n|---|---|---|---|\n");
    std::map<std::string, double> first;
    for (const std::string& name : order) {
      if (times_.find(name) == times_.end()) continue;
      const std::size_t slash = name.find('/');
      const std::string problem = name.substr(0, slash);
      std::vector<double> times = times_.at(name);
      std::nth_element(times.begin(), times.begin() + static_cast<long>(times.size() / 2), times.end());
      const double median = times[times.size() / 2];
      const double base = first.emplace(problem, median).first->second;
      fmt::print("| {} | {} | {:.3g} | {:.2f} |\n", problem, name.substr(slash + 1), 1e6 * median,
                 median / base);
    }
  }

 private:
  std::map<std::string, std::vector<double>> times_;
};

void enter_all(bool large) {
  std::setvbuf(stdout, nullptr, _IOLBF, 1 << 12);
  for (const unsigned seed : {1U, 2U}) {
    enter(contest_of(fmt::format("car {}", seed), car(seed), flow_alone, true), true);
    // KINSOL's line search does not end from the start with heat; ours is measured alone.
    enter({fmt::format("car {} with heat", seed), std::make_shared<Subject>(car(seed), flow_and_heat), {}},
          true);
  }
  enter(contest_of("ladder of 999", without_heat(ladder(999, 3)), flow_alone, false), false);
  enter_gradient();
  for (const int size : {1000, 10000, 100000}) {
    if (size == 100000 && !large) continue;
    for (const double decades : {2.0, 12.0}) {
      const std::string name = fmt::format("2-D grid of {}, {} decades", size, decades);
      enter(contest_of(name, without_heat(grid(2, size, decades, 5)), flow_alone, false), false);
    }
  }
  enter_sweep(large ? 102400 : 6400);
}

}  // namespace
}  // namespace corefeed::benchmarks

int main(int argc, char** argv) {
  using namespace corefeed::benchmarks;
  std::vector<char*> arguments(argv, argv + argc);
  const auto large = std::find_if(arguments.begin(), arguments.end(),
                                  [](const char* one) { return std::string_view(one) == "--large"; });
  const bool with_large = large != arguments.end();
  if (with_large) arguments.erase(large);
  const auto is_grids = [](const char* one) { return std::string_view(one) == "--grids"; };
  if (std::any_of(arguments.begin(), arguments.end(), is_grids)) {
    measure_large_grids();
    return 0;
  }
  // One after the other in random order, so that what disturbs the machine disturbs all alike.
  std::vector<std::string> defaults{"--benchmark_enable_random_interleaving=true",
                                    "--benchmark_repetitions=9", "--benchmark_min_time=0.05"};
  for (std::string& one : defaults) arguments.insert(arguments.begin() + 1, one.data());
  int count = static_cast<int>(arguments.size());
  benchmark::Initialize(&count, arguments.data());
  enter_all(with_large);
  Ratios ratios;
  benchmark::RunSpecifiedBenchmarks(&ratios);
  ratios.print(entered());
}
