// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "corefeed/cooling/lap.hpp"
#include "corefeed/model/trace.hpp"
#include "corefeed/studies/study.hpp"

/// The full network at the states of a lap. Private to the room.
namespace corefeed::studies {

/// A model on a trace, with what the trace does not name taken from one point.
class LapNetwork {
 public:
  LapNetwork(const model::Model& model, const model::Point& point, const model::Trace& trace,
             const cooling::SolveOptions& options);

  /// Solved with the loops' temperatures held.
  PointResult at(const cooling::HeatState& state) const;
  /// Heat by loop, or why there is none.
  Result<std::vector<double>> heat(const cooling::HeatState& state) const;
  /// Steady at mean speed, yaw and heat loads, switched fans on.
  PointResult steady() const;

  /// The table's setting is the trace's shifted by the number of controls, with a bit for each fan that is
  /// on.
  std::size_t settings() const { return states_.size() << controls_.size(); }
  cooling::LapDrive drive() const;
  std::vector<cooling::LapLoop> loops() const;
  std::vector<cooling::LapControl> controls() const;
  const std::vector<cooling::FanControl>& switched() const { return controls_; }
  /// Fans that the model wants to switch but that are not there at the point.
  const std::vector<std::string>& missing() const { return missing_; }

 private:
  using States = std::map<std::string, losses::FanState>;
  model::Point point_at(std::size_t setting, double speed, double yaw) const;

  const model::Model& model_;
  const model::Point& point_;
  const model::Trace& trace_;
  const cooling::SolveOptions& options_;
  std::vector<States> states_;  ///< of the trace's fans, each once
  std::vector<std::size_t> row_states_;
  std::vector<cooling::FanControl> controls_;
  std::vector<std::size_t> control_loops_;
  std::vector<std::string> missing_;
};

/// Time mean of a number that runs straight between the rows of a trace.
double mean_of(const model::Trace& trace, const std::vector<double>& values);

/// The lowest of what a loop must not exceed: its limit, else a requirement judged at that point.
std::optional<double> limit_of(const model::Model& model, const model::Loop& loop, const std::string& point);

/// Whether a requirement speaks of a loop's temperature and of this point.
bool is_judged(const model::Requirement& requirement, const model::Loop& loop, const std::string& point);

}  // namespace corefeed::studies
