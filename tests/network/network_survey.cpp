// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <fstream>
#include <map>
#include <mutex>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "tests/network/survey.hpp"

/// Solves random networks and counts how they end; status 1 when one ends without a certificate or a reason
/// that holds and is not on the list of open seeds.
namespace corefeed::network::testing {
namespace {

struct Options {
  std::uint64_t count = 20'000;
  std::uint64_t seed = 1;
  int jobs = 2;
  bool show = false;
  bool list = false;
  bool alone = false;
  Family family = Family::all;
  std::string open;  ///< file of the seeds that are known to fail, one a line; # begins a comment
};

std::set<std::uint64_t> open_seeds(const std::string& path) {
  std::set<std::uint64_t> seeds;
  std::ifstream file(path);
  for (std::string line; std::getline(file, line);) {
    if (!line.empty() && line.front() != '#') seeds.insert(std::stoull(line));
  }
  return seeds;
}

/// What all threads found together.
struct Summary {
  std::uint64_t solved = 0;
  std::uint64_t several = 0;
  std::map<std::string, std::uint64_t> reasons;
  std::vector<std::uint64_t> failed;
  double worst_residual = 0.0;
  std::uint64_t worst_seed = 0;
  double slowest = 0.0;
  std::uint64_t slowest_seed = 0;
  int most_steps = 0;
  std::uint64_t most_steps_seed = 0;

  void add(std::uint64_t seed, const Surveyed& one) {
    if (one.ending == Ending::solved) {
      ++solved;
      if (one.residual > worst_residual) {
        worst_residual = one.residual;
        worst_seed = seed;
      }
    }
    if (one.ending == Ending::reason) ++reasons[one.reason];
    if (one.ending == Ending::failed) failed.push_back(seed);
    if (one.points > 1) ++several;
    if (one.seconds > slowest) {
      slowest = one.seconds;
      slowest_seed = seed;
    }
    if (one.steps > most_steps) {
      most_steps = one.steps;
      most_steps_seed = seed;
    }
  }
};

Summary run(const Options& options) {
  Summary summary;
  std::mutex guard;
  std::atomic<std::uint64_t> next{0};
  const auto work = [&] {
    for (std::uint64_t i = next++; i < options.count; i = next++) {
      const cooling::Case problem = case_of(options.family, options.seed + i);
      const Surveyed one = survey_case(problem, !options.alone);
      const std::lock_guard<std::mutex> lock(guard);
      summary.add(options.seed + i, one);
      if (options.show || one.ending == Ending::failed) {
        fmt::print("seed {}: {}\n", options.seed + i, one.words);
        if (options.list) fmt::print("{}", description(problem));
      }
    }
  };
  std::vector<std::jthread> threads;
  for (int j = 0; j < std::max(1, options.jobs); ++j) threads.emplace_back(work);
  threads.clear();
  std::sort(summary.failed.begin(), summary.failed.end());
  return summary;
}

int report(const Options& options) {
  const auto begin = std::chrono::steady_clock::now();
  const Summary summary = run(options);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
  fmt::print("{} networks, seeds {} to {}, in {:.1f} s\n", options.count, options.seed,
             options.seed + options.count - 1, took.count());
  fmt::print("  {} solved with all balances closed to {:.0e}; worst {:.1e} (seed {})\n", summary.solved,
             Certificate::limit, summary.worst_residual, summary.worst_seed);
  if (!options.alone) fmt::print("  {} have several operating points\n", summary.several);
  for (const auto& [reason, count] : summary.reasons) fmt::print("  {} {}\n", count, reason);
  fmt::print("  most steps {} (seed {}), slowest {:.0f} ms (seed {})\n", summary.most_steps,
             summary.most_steps_seed, 1e3 * summary.slowest, summary.slowest_seed);
  fmt::print("  {} failed\n", summary.failed.size());
  const std::set<std::uint64_t> open = open_seeds(options.open);
  bool known = true;
  for (const std::uint64_t seed : summary.failed) {
    fmt::print("    seed {}{}\n", seed, open.contains(seed) ? ", as before" : "");
    known = known && open.contains(seed);
  }
  return known ? 0 : 1;
}

}  // namespace
}  // namespace corefeed::network::testing

int main(int argc, char** argv) {
  using corefeed::network::testing::Family;
  corefeed::network::testing::Options options;
  CLI::App app{"solves random networks and counts how they end"};
  app.add_option("--count", options.count, "how many networks");
  app.add_option("--seed", options.seed, "the first one's seed; the others follow");
  app.add_option("--jobs", options.jobs, "threads");
  const std::map<std::string, Family> families{
      {"all", Family::all}, {"unheated", Family::unheated}, {"monotone", Family::monotone}};
  app.add_option("--family", options.family, "all, unheated or monotone")
      ->transform(CLI::CheckedTransformer(families));
  app.add_option("--open", options.open, "file of seeds that are known to fail")->check(CLI::ExistingFile);
  app.add_flag("--alone", options.alone, "do not look for further operating points: half the time");
  app.add_flag("--list", options.list, "print each network that is spoken of");
  app.add_flag("--show", options.show, "say how each one ended");
  CLI11_PARSE(app, argc, argv);
  return corefeed::network::testing::report(options);
}
