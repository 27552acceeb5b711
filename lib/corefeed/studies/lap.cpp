// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/lap.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <set>

#include "corefeed/studies/lap_network.hpp"

namespace corefeed::studies {
namespace {

using cooling::HeatState;
using cooling::HeatTable;
using units::Quantity;

constexpr std::size_t most_settings = 16;
constexpr std::size_t most_rows = 2'000'000;
/// The error of the prepared heats that is worth a warning.
constexpr double large_error = 0.01;

Issue issue_of(std::string code, Status status, std::string text, Severity severity = Severity::error) {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = severity;
  issue.status = status;
  issue.text = std::move(text);
  return issue;
}

double seconds_since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// Meters from the start, by row.
std::vector<double> distances(const model::Trace& trace) {
  std::vector<double> list{0.0};
  for (std::size_t row = 1; row < trace.time.size(); ++row) {
    list.push_back(list.back() +
                   0.5 * (trace.speed[row] + trace.speed[row - 1]) * (trace.time[row] - trace.time[row - 1]));
  }
  return list;
}

/// The row before a time, and the share of the way to the next.
std::pair<std::size_t, double> place_in(const model::Trace& trace, double time) {
  const auto above = std::upper_bound(trace.time.begin() + 1, trace.time.end() - 1, time);
  const auto row = static_cast<std::size_t>(above - trace.time.begin()) - 1;
  return {row, (time - trace.time[row]) / (trace.time[row + 1] - trace.time[row])};
}

std::vector<Issue> unfit(const model::Model& model, const LapNetwork& network, const model::Trace& trace,
                         const LapOptions& options) {
  std::vector<Issue> issues;
  if (model.loops.empty()) {
    issues.push_back(
        issue_of("no_loop", Status::input, "the model has no loop whose temperature could change"));
    issues.back().place.file = model.file;
  }
  for (const model::Loop& loop : model.loops) {
    if (loop.is_network) {
      issues.push_back(
          issue_of("loop_is_network", Status::input,
                   fmt::format("a lap follows loops of a given \"flow\"; the loop {} has elements of "
                               "its own: give its flow instead",
                               quoted(loop.name))));
      issues.back().place = model.document.place(loop.pointer);
      continue;
    }
    if (loop.transient.thermal_mass) continue;
    issues.push_back(
        issue_of("missing_key", Status::input,
                 fmt::format("a lap needs the loop's \"thermal_mass\", liquid and metal that warms "
                             "with it; write it such as \"60 kJ/K\"")));
    issues.back().place = model.document.place(loop.pointer);
  }
  if (network.settings() > most_settings) {
    issues.push_back(
        issue_of("too_many_settings", Status::limit,
                 fmt::format("the fans go through {} combinations of states; expected at most {}",
                             network.settings(), most_settings)));
  }
  const std::size_t rows = trace.time.size() * static_cast<std::size_t>(options.laps.value_or(1));
  if (rows > most_rows) {
    issues.push_back(issue_of("too_many_rows", Status::limit,
                              fmt::format("{} laps of {} rows are {} rows; expected at most {}",
                                          *options.laps, trace.time.size(), rows, most_rows)));
  }
  return issues;
}

/// Works the question out step by step.
class LapSolver {
 public:
  LapSolver(const model::Model& model, const model::Point& point, const model::Trace& trace,
            const LapOptions& options)
      : model_(model), options_(options), network_(model, point, trace, options.solver) {
    study_.trace = trace;
    study_.point = point.name;
    study_.stint = options.laps.has_value();
    problem_.loops = network_.loops();
    problem_.controls = network_.controls();
    problem_.drive = network_.drive();
    distance_ = distances(trace);
    study_.distance = distance_.back();
    study_.mean_speed = study_.distance / trace.duration();
  }

  Result<LapStudy> answer() {
    if (auto issues = unfit(model_, network_, study_.trace, options_); !issues.empty()) return issues;
    const auto begin = std::chrono::steady_clock::now();
    steady_ = network_.steady();
    hottest_ = hottest_expected();
    if (auto issues = prepare(); !issues.empty()) return issues;
    drive();
    // A lap hotter than expected was asked beyond the prepared temperatures.
    if (!study_.ended && widen()) {
      if (auto issues = prepare(); !issues.empty()) return issues;
      drive();
    }
    study_.preparing = seconds_since(begin) - study_.driving;
    describe_loops();
    warn();
    if (!study_.ended) find_error();
    judge_requirements();
    return std::move(study_);
  }

 private:
  std::optional<double> steady_temperature(std::size_t loop) const {
    if (!steady_.solution.converged) return std::nullopt;
    const double temperature = steady_.solution.loops[loop].temperature;
    if (temperature >= cooling::absurd_temperature) return std::nullopt;
    return temperature;
  }

  double start_temperature(std::size_t loop) const {
    return model_.loops[loop].transient.start_temperature.value_or(model_.temperature);
  }

  std::vector<double> hottest_expected() const {
    std::vector<double> list;
    for (std::size_t i = 0; i < model_.loops.size(); ++i) {
      const double steady = std::min(steady_temperature(i).value_or(0.0), 453.15);
      const double known = std::max(
          {steady, problem_.loops[i].limit.value_or(0.0), start_temperature(i), model_.temperature + 60.0});
      list.push_back(known + 20.0);
    }
    return list;
  }

  std::vector<Issue> prepare() {
    cooling::HeatRange range;
    range.settings = network_.settings();
    const auto& drive = problem_.drive;
    range.slowest = *std::min_element(drive.speed.begin(), drive.speed.end());
    range.fastest = *std::max_element(drive.speed.begin(), drive.speed.end());
    range.least_yaw = *std::min_element(drive.yaw.begin(), drive.yaw.end());
    range.most_yaw = *std::max_element(drive.yaw.begin(), drive.yaw.end());
    range.hottest = hottest_;
    for (std::size_t i = 0; i < model_.loops.size(); ++i) {
      range.coldest.push_back(std::min(model_.temperature, start_temperature(i)));
      range.throttled.push_back(problem_.loops[i].thermostat.has_value());
    }
    Result<HeatTable> table =
        HeatTable::prepare([this](const HeatState& state) { return network_.heat(state); }, range);
    if (!table) return table.issues();
    problem_.table = std::move(table).value();
    study_.solutions += problem_.table.solutions();
    return {};
  }

  bool widen() {
    bool wider = false;
    for (std::size_t i = 0; i < study_.loops.size(); ++i) {
      const double peak = study_.loops[i].result.peak;
      if (peak <= hottest_[i]) continue;
      hottest_[i] = peak + 20.0;
      wider = true;
    }
    return wider;
  }

  void drive() {
    const auto begin = std::chrono::steady_clock::now();
    study_.loops.clear();
    study_.rows.clear();
    study_.time.clear();
    if (study_.stint) {
      drive_stint();
    } else {
      drive_cycle();
    }
    study_.driving = seconds_since(begin);
  }

  void drive_cycle() {
    std::vector<double> start;
    for (std::size_t i = 0; i < model_.loops.size(); ++i)
      start.push_back(std::min(steady_temperature(i).value_or(start_temperature(i)), hottest_[i]));
    cooling::LapCycle cycle = cooling::find_cycle(problem_, cooling::settled(problem_, std::move(start)));
    study_.laps = cycle.laps;
    study_.cyclic = cycle.cyclic;
    study_.change = cycle.change;
    take(cycle.lap, 0);
  }

  void drive_stint() {
    std::vector<double> start;
    for (std::size_t i = 0; i < model_.loops.size(); ++i) start.push_back(start_temperature(i));
    cooling::LapState state = cooling::settled(problem_, std::move(start));
    study_.laps = 0;
    while (study_.laps < *options_.laps && !study_.ended) {
      const cooling::Lap lap = cooling::run_lap(problem_, state);
      take(lap, study_.laps++);
      study_.change = cooling::largest_change(state, lap.end);
      study_.cyclic = !lap.ended && study_.change < 0.2 && state.fan_on == lap.end.fan_on;
      state = lap.end;
    }
  }

  /// Adds a lap to what is known of the stint.
  void take(const cooling::Lap& lap, int before) {
    const double duration = study_.trace.duration();
    study_.ended = lap.ended;
    study_.fans.resize(lap.fans.size());
    for (std::size_t k = 0; k < lap.fans.size(); ++k) {
      FanOverLap& fan = study_.fans[k];
      if (before == 0) fan = {network_.switched()[k].fan, {}};
      fan.result.time_on += lap.fans[k].time_on;
      fan.result.switched += lap.fans[k].switched;
    }
    study_.loops.resize(lap.loops.size());
    for (std::size_t i = 0; i < lap.loops.size(); ++i) add_loop(study_.loops[i], lap.loops[i], before);
    for (std::size_t row = before == 0 ? 0 : 1; row < lap.rows.size(); ++row) {
      study_.time.push_back(before * duration + study_.trace.time[row]);
      study_.rows.push_back(lap.rows[row]);
    }
  }

  static void add_loop(LoopOverLap& sum, const cooling::LapLoopResult& one, int before) {
    if (before == 0) {
      sum.result = one;
      sum.peak_lap = 1;
      return;
    }
    if (one.peak > sum.result.peak) {
      sum.result.peak = one.peak;
      sum.result.peak_time = one.peak_time;
      sum.peak_lap = before + 1;
    }
    sum.result.mean += (one.mean - sum.result.mean) / (before + 1);
    sum.result.time_above += one.time_above;
    sum.result.heat_in += one.heat_in;
    sum.result.heat_out += one.heat_out;
    sum.result.stored += one.stored;
    sum.result.least_share = std::min(sum.result.least_share, one.least_share);
    sum.result.largest_share = std::max(sum.result.largest_share, one.largest_share);
  }

  void describe_loops() {
    for (std::size_t i = 0; i < study_.loops.size(); ++i) {
      LoopOverLap& loop = study_.loops[i];
      loop.name = model_.loops[i].name;
      loop.limit = problem_.loops[i].limit;
      loop.steady = steady_temperature(i);
      loop.throttled = problem_.loops[i].thermostat.has_value();
      const auto [row, share] = place_in(study_.trace, loop.result.peak_time);
      loop.peak_distance = distance_[row] + share * (distance_[row + 1] - distance_[row]);
      if (!loop.steady) continue;
      // What spreads the steady temperature above ambient spreads the peak in the same ratio.
      const double sigma = uncertainty_of(model_, steady_, loop.name + ".temperature").sigma;
      const double ratio = (loop.result.peak - model_.temperature) / (*loop.steady - model_.temperature);
      if (std::isfinite(ratio)) loop.sigma = sigma * std::max(ratio, 0.0);
    }
  }

  void add_warning(std::string code, const std::string& owner, std::string text,
                   Severity severity = Severity::warning) {
    study_.warnings.push_back(issue_of(std::move(code), Status::input, std::move(text), severity));
    study_.warnings.back().place.pointer = owner;
  }

  void warn() {
    study_.warnings = model_.warnings;
    for (const Issue& issue : model::model_warnings(model_, steady_.built)) study_.warnings.push_back(issue);
    for (const Issue& issue : study_.trace.warnings) study_.warnings.push_back(issue);
    for (const std::string& fan : network_.missing()) {
      add_warning("fan_removed", fan,
                  fmt::format("the fan {} is removed at the point {}, so that nothing switches it",
                              quoted(fan), quoted(study_.point)));
    }
    warn_of_thermostats();
    const model::Trace& trace = study_.trace;
    const double gap = std::abs(trace.speed.back() - trace.speed.front());
    if (study_.laps > 1 && gap > 0.1 * study_.mean_speed) {
      add_warning("open_lap", "",
                  fmt::format("the lap is repeated, but it ends at {} and begins at {}",
                              units::show(trace.speed.back(), Quantity::speed, 3),
                              units::show(trace.speed.front(), Quantity::speed, 3)));
    }
    if (study_.ended) {
      warn_starved();
    } else if (!study_.stint && !study_.cyclic) {
      add_warning(
          "not_cyclic", "",
          fmt::format("after {} laps the temperatures still change by {:.1f} K from lap to lap; what is "
                      "given is the last lap, and --laps N follows a stint from the start",
                      study_.laps, study_.change));
    }
    if (study_.ended || (!study_.stint && !study_.cyclic)) study_.status = Status::no_solution;
  }

  void warn_of_thermostats() {
    for (std::size_t i = 0; i < study_.loops.size(); ++i) {
      const auto& thermostat = problem_.loops[i].thermostat;
      const LoopOverLap& loop = study_.loops[i];
      if (!thermostat || loop.result.largest_share > thermostat->closed_share + 1e-6) continue;
      add_warning("closed_thermostat", loop.name,
                  fmt::format("the thermostat of {} never opens: {} stays below {}", loop.name, loop.name,
                              units::show(thermostat->opens_at, Quantity::temperature)),
                  Severity::note);
    }
  }

  /// Names the loop that has no temperature, and how little air its cores get.
  void warn_starved() {
    const std::size_t loop = study_.ended->loop;
    const std::string& name = model_.loops[loop].name;
    HeatState state{0, study_.mean_speed, problem_.drive.yaw.front(), hottest_,
                    std::vector<double>(model_.loops.size(), 1.0)};
    state.setting = network_.settings() - 1;
    const PointResult result = network_.at(state);
    std::vector<std::string> cores;
    const auto& elements = result.built.problem.network.elements;
    for (std::size_t e = 0; result.solution.converged && e < elements.size(); ++e) {
      if (result.built.problem.loop_of[e] != static_cast<int>(loop)) continue;
      cores.push_back(fmt::format("{} gets {} of air and takes {}", elements[e].name,
                                  units::show(result.solution.elements[e].flow, Quantity::mass_flow, 3),
                                  units::show(result.solution.loops[loop].heat, Quantity::power, 3)));
    }
    const double load = mean_of(study_.trace, problem_.drive.load[loop]);
    add_warning(
        "starved", name,
        fmt::format("{} has no temperature to give: it passes {} in lap {} after {:.1f} s{}{}, but {} go "
                    "in on average",
                    name, units::show(cooling::absurd_temperature, Quantity::temperature, 3), study_.laps,
                    study_.ended->time, cores.empty() ? "" : "; at the mean speed ", fmt::join(cores, ", "),
                    units::show(load, Quantity::power, 3)));
  }

  /// Solves the full network at states of the last lap: evenly over it and at the peaks.
  void find_error() {
    constexpr std::size_t evenly = 12;
    const std::size_t rows = study_.trace.time.size();
    std::set<std::size_t> tried;
    for (std::size_t i = 0; i <= evenly; ++i) tried.insert((rows - 2) * i / evenly);
    for (const LoopOverLap& loop : study_.loops)
      tried.insert(place_in(study_.trace, loop.result.peak_time).first);
    cooling::HeatLookup lookup(problem_.table);
    std::vector<std::vector<double>> found;
    std::vector<double> largest(study_.loops.size(), 0.0);
    std::set<std::pair<std::string, std::string>> told;
    for (const std::size_t row : tried) {
      const HeatState state = state_at(row);
      const PointResult result = network_.at(state);
      found.emplace_back();
      if (!result.solution.converged) continue;
      for (std::size_t i = 0; i < largest.size(); ++i) {
        found.back().push_back(result.solution.loops[i].heat);
        largest[i] = std::max(largest[i], std::abs(found.back()[i]));
      }
      take_warnings(result, row, told);
    }
    std::size_t place = 0;
    std::vector<double> guess(largest.size());
    for (const std::size_t row : tried) {
      const std::vector<double>& heats = found[place++];
      if (heats.empty()) continue;
      const HeatState state = state_at(row);
      lookup.heat(state.setting, state.speed, state.yaw, state.temperature, state.share, guess);
      for (std::size_t i = 0; i < guess.size(); ++i) {
        // Of a heat that is next to nothing the share says nothing.
        const double error = std::abs(guess[i] - heats[i]) / std::max(std::abs(heats[i]), 0.05 * largest[i]);
        if (error > study_.error.largest)
          study_.error = {error, model_.loops[i].name, study_.trace.time[row]};
      }
    }
    if (study_.error.largest <= large_error) return;
    add_warning(
        "table_error", study_.error.loop,
        fmt::format("the prepared heat of {} is off by {:.1f} % at {:.1f} s; its temperature is that much "
                    "less certain",
                    study_.error.loop, 100.0 * study_.error.largest, study_.error.time));
  }

  HeatState state_at(std::size_t row) const {
    const cooling::LapState& lap = study_.rows[study_.rows.size() - study_.trace.time.size() + row];
    HeatState state{problem_.drive.setting[row] << problem_.controls.size(),
                    problem_.drive.speed[row],
                    problem_.drive.yaw[row],
                    lap.temperature,
                    {}};
    for (std::size_t k = 0; k < lap.fan_on.size(); ++k)
      state.setting |= static_cast<std::size_t>(lap.fan_on[k]) << k;
    for (std::size_t i = 0; i < lap.lift.size(); ++i) {
      const auto& thermostat = problem_.loops[i].thermostat;
      // A closed core passes nothing; the network is asked with next to nothing.
      state.share.push_back(thermostat ? std::max(cooling::core_share(*thermostat, lap.lift[i]), 1e-3) : 1.0);
    }
    return state;
  }

  /// What the network warns of, each thing once with the time it was first seen.
  void take_warnings(const PointResult& result, std::size_t row,
                     std::set<std::pair<std::string, std::string>>& told) {
    // At rest every velocity ratio is out of all ranges and says nothing.
    const bool at_rest = problem_.drive.speed[row] < 1.0;
    for (const Issue& issue : point_warnings(result)) {
      if (at_rest && issue.code == "out_of_range") continue;
      if (!told.insert({issue.code, issue.place.pointer}).second) continue;
      study_.warnings.push_back(issue);
      study_.warnings.back().text = fmt::format("at {:.1f} s: {}", study_.trace.time[row], issue.text);
    }
  }

  void judge_requirements() {
    for (std::size_t i = 0; i < model_.requirements.size(); ++i) {
      const model::Requirement& requirement = model_.requirements[i];
      for (const LoopOverLap& loop : study_.loops) {
        if (!is_judged(requirement, *loop_of(loop.name), study_.point)) continue;
        JudgedRequirement judged;
        judged.index = i;
        if (study_.status != Status::no_solution) {
          judged.judgments.push_back(judge(requirement, study_.point, loop.result.peak, loop.sigma));
          const Verdict verdict = judged.judgments.front().verdict;
          judged.fails = verdict == Verdict::not_met ||
                         (verdict == Verdict::too_close && requirement.confidence.has_value());
        }
        study_.requirements.push_back(std::move(judged));
      }
    }
    const bool fails = std::any_of(study_.requirements.begin(), study_.requirements.end(),
                                   [](const JudgedRequirement& one) { return one.fails; });
    if (fails && study_.status == Status::done) study_.status = Status::requirement_not_met;
  }

  const model::Loop* loop_of(const std::string& name) const {
    const auto found = std::find_if(model_.loops.begin(), model_.loops.end(),
                                    [&name](const model::Loop& one) { return one.name == name; });
    return &*found;
  }

  const model::Model& model_;
  const LapOptions& options_;
  LapNetwork network_;
  cooling::LapProblem problem_;
  std::vector<double> distance_;
  std::vector<double> hottest_;
  PointResult steady_;
  LapStudy study_;
};

}  // namespace

Result<LapStudy> study_lap(const model::Model& model, const model::Trace& trace, const LapOptions& options) {
  for (const model::Point& point : model.points) {
    if (options.point.empty() || options.point == point.name)
      return LapSolver(model, point, trace, options).answer();
  }
  std::vector<std::string> known;
  for (const model::Point& point : model.points) known.push_back(point.name);
  return issue_of(
      "unknown_point", Status::usage,
      fmt::format("the model has no point {}; there are: {}", quoted(options.point), fmt::join(known, ", ")));
}

}  // namespace corefeed::studies
