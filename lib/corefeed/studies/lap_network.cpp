// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/lap_network.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace corefeed::studies {
namespace {

/// Heat loads of a loop by row: the trace's, else the point's, else the loop's own.
std::vector<double> loads_of(const model::Loop& loop, const model::Point& point, const model::Trace& trace) {
  const auto traced = trace.heat_load.find(loop.name);
  if (traced != trace.heat_load.end()) return traced->second;
  return std::vector<double>(trace.time.size(), model::heat_of(loop, point));
}

}  // namespace

double mean_of(const model::Trace& trace, const std::vector<double>& values) {
  double sum = 0.0;
  for (std::size_t row = 1; row < values.size(); ++row)
    sum += 0.5 * (values[row] + values[row - 1]) * (trace.time[row] - trace.time[row - 1]);
  return sum / trace.duration();
}

bool is_judged(const model::Requirement& requirement, const model::Loop& loop, const std::string& point) {
  const auto& at = requirement.at;
  return requirement.quantity == loop.name + ".temperature" &&
         (at.empty() || std::find(at.begin(), at.end(), point) != at.end());
}

std::optional<double> limit_of(const model::Model& model, const model::Loop& loop, const std::string& point) {
  if (loop.transient.temperature_limit) return loop.transient.temperature_limit;
  std::optional<double> lowest;
  for (const model::Requirement& requirement : model.requirements) {
    if (requirement.at_least || !is_judged(requirement, loop, point)) continue;
    lowest = std::min(lowest.value_or(requirement.limit), requirement.limit);
  }
  return lowest;
}

LapNetwork::LapNetwork(const model::Model& model, const model::Point& point, const model::Trace& trace,
                       const cooling::SolveOptions& options)
    : model_(model), point_(point), trace_(trace), options_(options) {
  for (std::size_t row = 0; row < trace.time.size(); ++row) {
    States states;
    for (const auto& [fan, list] : trace.fans) states[fan] = list[row];
    const auto known = std::find(states_.begin(), states_.end(), states);
    row_states_.push_back(static_cast<std::size_t>(known - states_.begin()));
    if (known == states_.end()) states_.push_back(std::move(states));
  }
  for (std::size_t loop = 0; loop < model.loops.size(); ++loop) {
    for (const cooling::FanControl& control : model.loops[loop].transient.fan_control) {
      const auto state = point.fans.find(control.fan);
      if (state != point.fans.end() && state->second == losses::FanState::removed) {
        missing_.push_back(control.fan);
        continue;
      }
      controls_.push_back(control);
      control_loops_.push_back(loop);
    }
  }
}

model::Point LapNetwork::point_at(std::size_t setting, double speed, double yaw) const {
  model::Point point = point_;
  point.speed = speed;
  point.yaw = yaw;
  for (const auto& [fan, state] : states_[setting >> controls_.size()]) point.fans[fan] = state;
  for (std::size_t k = 0; k < controls_.size(); ++k) {
    const bool on = (setting >> k & 1U) != 0;
    point.fans[controls_[k].fan] = on ? losses::FanState::on : controls_[k].off_state;
  }
  return point;
}

PointResult LapNetwork::at(const cooling::HeatState& state) const {
  PointResult result;
  result.built = model::build(model_, point_at(state.setting, state.speed, state.yaw));
  for (std::size_t i = 0; i < state.temperature.size(); ++i) {
    cooling::Loop& loop = result.built.problem.loops[i];
    loop.held_temperature = state.temperature[i];
    loop.flow *= state.share[i];
  }
  result.solution = cooling::solve(result.built.problem, options_);
  return result;
}

Result<std::vector<double>> LapNetwork::heat(const cooling::HeatState& state) const {
  const PointResult result = at(state);
  if (!result.solution.converged) {
    Issue issue;
    issue.code = "no_solution";
    issue.status = Status::no_solution;
    issue.place.file = trace_.file;
    issue.text = fmt::format("at {} there is no solution: {}",
                             units::show(state.speed, units::Quantity::speed), result.solution.explanation);
    return issue;
  }
  std::vector<double> heats;
  for (const cooling::LoopState& loop : result.solution.loops) heats.push_back(loop.heat);
  return heats;
}

PointResult LapNetwork::steady() const {
  const double yaw = trace_.yaw.empty() ? point_.yaw : mean_of(trace_, trace_.yaw);
  const std::size_t all_on = (std::size_t{1} << controls_.size()) - 1;
  model::Point point = point_at(all_on, mean_of(trace_, trace_.speed), yaw);
  for (const model::Loop& loop : model_.loops)
    point.heat_load[loop.name] = mean_of(trace_, loads_of(loop, point_, trace_));
  return solve_point(model_, point, options_);
}

cooling::LapDrive LapNetwork::drive() const {
  cooling::LapDrive drive;
  drive.time = trace_.time;
  drive.speed = trace_.speed;
  drive.yaw = trace_.yaw.empty() ? std::vector<double>(trace_.time.size(), point_.yaw) : trace_.yaw;
  for (const model::Loop& loop : model_.loops) drive.load.push_back(loads_of(loop, point_, trace_));
  drive.setting = row_states_;
  return drive;
}

std::vector<cooling::LapLoop> LapNetwork::loops() const {
  std::vector<cooling::LapLoop> list;
  for (const model::Loop& loop : model_.loops) {
    list.push_back({loop.transient.thermal_mass.value_or(0.0), limit_of(model_, loop, point_.name),
                    loop.transient.thermostat});
  }
  return list;
}

std::vector<cooling::LapControl> LapNetwork::controls() const {
  std::vector<cooling::LapControl> list;
  for (std::size_t k = 0; k < controls_.size(); ++k)
    list.push_back({control_loops_[k], controls_[k].on_above, controls_[k].off_below});
  return list;
}

}  // namespace corefeed::studies
