// SPDX-License-Identifier: Apache-2.0
// mutated_steps WORKER COUNT [SEED]   measures COUNT STEP files with planted faults, each under limits of 5 s
// and 1 GB. Prints how they ended, and ends with 1 where one ended otherwise than with a measurement or a
// message of status 5 or 7, took longer than its limit and a second, or left a process or a file behind.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"
#include "fmt/format.h"
#include "tests/cad_bridge/geometry/broken_files.hpp"

namespace {

using namespace corefeed;

std::string read_file(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// Small samples of every kind of part: flow volumes, an assembly, loose surfaces, a vaned duct.
std::vector<std::string> originals() {
  std::vector<std::string> texts;
  for (const char* name :
       {"straight_round", "cone_7deg", "bend_90_placed", "straight_rectangular_named", "y_duct",
        "rectangular_to_round", "vane_duct", "open_shell", "radiator_and_duct", "vent_and_rail"})
    texts.push_back(read_file(std::string(COREFEED_SOURCE_DIR "/geometry_samples/") + name + ".step"));
  return texts;
}

long resident_kilobytes() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmRSS:")) return std::strtol(line.c_str() + 6, nullptr, 10);
  }
  return 0;
}

struct Tally {
  std::map<std::string, int> endings;
  std::map<std::string, std::map<std::string, int>> by_kind;
  std::vector<std::string> faults;
  double longest = 0;
};

std::string ending(const Result<worker::Measurement>& result, std::vector<std::string>& faults,
                   const std::string& what) {
  if (result.ok()) return result.value().warnings.empty() ? "measured" : "measured with warnings";
  const Issue& issue = result.issues().front();
  if (issue.status != Status::geometry && issue.status != Status::limit)
    faults.push_back(fmt::format("{}: status {}, {}", what, static_cast<int>(issue.status), issue.text));
  if (issue.text.empty() || issue.place.file.empty())
    faults.push_back(what + ": a message without text or file");
  return fmt::format("{} {}", static_cast<int>(issue.status), issue.code);
}

void run_one(const std::vector<std::string>& texts, std::uint64_t seed, const std::filesystem::path& folder,
             Tally& tally) {
  geometry::testing::Dice dice(seed);
  std::string kind;
  const std::string text = geometry::testing::mutated(texts[dice.below(texts.size())], dice, kind);
  const std::filesystem::path path = folder / "part.step";
  std::ofstream(path, std::ios::binary) << text;
  worker::WorkerLimits limits;
  limits.wall_seconds = 5;
  limits.cpu_seconds = 5;
  limits.memory = std::uint64_t{1} << 30;
  worker::MeasureRequest request;
  request.sections = 5;
  const auto start = std::chrono::steady_clock::now();
  const auto result = worker::measure_file(path.string(), request, limits);
  const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  const std::string what = fmt::format("seed {} ({})", seed, kind);
  const std::string end = ending(result, tally.faults, what);
  ++tally.endings[end];
  ++tally.by_kind[kind][end.substr(0, 1) == "m"
                            ? "measured"
                            : (end.substr(0, 13) == "5 worker_died" ? "died" : end.substr(0, 1))];
  tally.longest = std::max(tally.longest, seconds);
  if (seconds > limits.wall_seconds + 1)
    tally.faults.push_back(fmt::format("{}: took {:.1f} s", what, seconds));
  if (waitpid(-1, nullptr, WNOHANG) != -1) tally.faults.push_back(what + ": left a process");
  if (std::distance(std::filesystem::directory_iterator(folder), {}) != 1)
    tally.faults.push_back(what + ": left a file");
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    std::cerr << "Expected: mutated_steps WORKER COUNT [SEED].\n";
    return 2;
  }
  setenv("COREFEED_WORKER", argv[1], 1);
  const int count = std::atoi(argv[2]);
  const std::uint64_t seed = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 1;
  std::string name = (std::filesystem::temp_directory_path() / "mutated-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) return 1;
  const std::vector<std::string> texts = originals();
  Tally tally;
  const long before = resident_kilobytes();
  for (int i = 0; i < count; ++i) run_one(texts, seed + static_cast<std::uint64_t>(i), name, tally);
  const long grown = resident_kilobytes() - before;
  std::filesystem::remove_all(name);
  for (const auto& [end, times] : tally.endings) std::cout << fmt::format("{:6} {}\n", times, end);
  for (const auto& [kind, ends] : tally.by_kind) {
    std::cout << kind << ":";
    for (const auto& [end, times] : ends) std::cout << fmt::format(" {} {}", times, end);
    std::cout << "\n";
  }
  std::cout << fmt::format("longest {:.2f} s, memory of the caller grown by {} kB\n", tally.longest, grown);
  if (grown > 50 * 1024) tally.faults.push_back("the caller's memory grew by more than 50 MB");
  for (const std::string& fault : tally.faults) std::cerr << fault << "\n";
  return tally.faults.empty() ? 0 : 1;
}
