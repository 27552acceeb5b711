// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "corefeed/model/trace.hpp"
#include "tests/fuzz/small_model.hpp"

/// Traces of a lap: what is accepted begins at zero, rises in time, and has a number within bounds in every
/// row of every column.
namespace corefeed::fuzz {
namespace {

void require_column(const std::vector<double>& column, std::size_t rows, double lowest, double highest) {
  require(column.size() == rows, "a column has every row");
  for (const double value : column)
    require(value >= lowest && value <= highest, "a number is within its bounds");
}

}  // namespace

void run(std::string_view bytes) {
  static const Result<model::Model> model = model::parse_model(small_text(), "small.corefeed", ".");
  require(model.ok(), "the small model is sound");
  const Result<model::Trace> read = model::parse_trace(std::string(bytes), "fuzzed.csv", model.value());
  if (!read) return require_sound(read.issues(), bytes);
  const model::Trace& trace = read.value();
  const std::size_t rows = trace.time.size();
  require(rows >= 2 && trace.time.front() == 0.0, "a trace begins at zero and goes on");
  for (std::size_t i = 1; i < rows; ++i) require(trace.time[i] > trace.time[i - 1], "time rises");
  require(std::isfinite(trace.duration()), "a lap ends");
  require_column(trace.speed, rows, 0.0, 120.0);
  if (!trace.yaw.empty()) require_column(trace.yaw, rows, -1.6, 1.6);
  for (const auto& [loop, load] : trace.heat_load) {
    require(loop == "coolant", "a heat load is one of the model's loops");
    require_column(load, rows, -1e300, 1e300);
  }
  for (const auto& [fan, states] : trace.fans)
    require(fan == "fan" && states.size() == rows, "a fan has every row");
}

}  // namespace corefeed::fuzz
