// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/trace.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <limits>
#include <optional>

#include "corefeed/model/reader.hpp"
#include "corefeed/model/table_columns.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

/// An hour at 50 Hz. More is a whole race, which is better asked stint by stint.
constexpr TableLimits limits{.bytes = 64'000'000, .rows = 200'000};

constexpr double unbounded = std::numeric_limits<double>::infinity();
constexpr std::array<KnownColumn, 5> plain_columns{{{"time", Quantity::time, -unbounded, unbounded},
                                                    columns::speed,
                                                    columns::yaw,
                                                    columns::engine_speed,
                                                    columns::ride_height}};
constexpr KnownColumn load_column{"heat_load", Quantity::power, 0.0, unbounded};

class TraceReader {
 public:
  TraceReader(const Table& table, const Model& model) : table_(table), reader_(table) {
    for (const Loop& loop : model.loops) {
      loops_.push_back(loop.name);
      for (const cooling::FanControl& control : loop.transient.fan_control) switched_.push_back(control.fan);
    }
    for (const Element& element : model.elements) {
      if (element.numbers.kind->name == "fan") fans_.push_back(element.name);
    }
    trace_.file = table.file();
    has_pressures_ = model.surface_pressure != nullptr;
  }

  Result<Trace> read() {
    for (const std::string_view needed : {"time", "speed"}) reader_.require(needed);
    for (std::size_t column = 0; column < table_.columns().size(); ++column) read_column(column);
    if (table_.rows() < 2) {
      reader_.add(reader_.header_place(), "too_few_rows",
                  "the trace has one row; expected at least two, a beginning and an end");
    }
    check_time();
    if (reader_.failed()) return reader_.take_issues();
    const double begin = trace_.time.front();
    for (double& time : trace_.time) time -= begin;
    return std::move(trace_);
  }

 private:
  void read_column(std::size_t column) {
    const std::string& name = table_.columns()[column].name;
    const std::size_t dot = name.find('.');
    const std::string_view group = std::string_view(name).substr(0, dot);
    if (dot != std::string::npos && group == load_column.name) {
      const std::string loop = name.substr(dot + 1);
      if (reader_.is_known(loop, loops_, "loop"))
        trace_.heat_load[loop] = reader_.numbers(column, load_column);
      return;
    }
    if (dot != std::string::npos && group == "fans") return read_fan(column, name.substr(dot + 1));
    for (const KnownColumn& known : plain_columns) {
      if (known.name == name) return take(known, reader_.numbers(column, known));
    }
    refuse(name);
  }

  void take(const KnownColumn& known, std::vector<double> values) {
    if (known.name == "time") {
      trace_.time = std::move(values);
    } else if (known.name == "speed") {
      trace_.speed = std::move(values);
    } else if (known.name == "yaw") {
      trace_.yaw = std::move(values);
    } else {
      Issue issue;
      issue.code = "unused_column";
      issue.severity = Severity::note;
      issue.place = reader_.header_place();
      issue.text =
          known.name == "ride_height" && has_pressures_
              ? "a lap keeps the ride height of the model's first point; the column ride_height is not used"
              : fmt::format("nothing in the model depends on the column {}", quoted(known.name));
      trace_.warnings.push_back(std::move(issue));
    }
  }

  void refuse(const std::string& name) {
    std::vector<std::string> words;
    for (const KnownColumn& known : plain_columns) words.emplace_back(known.name);
    for (const std::string_view loop : loops_) words.push_back(fmt::format("heat_load.{}", loop));
    for (const std::string_view fan : fans_) words.push_back(fmt::format("fans.{}", fan));
    reader_.refuse_column("a trace", name, words);
  }

  void read_fan(std::size_t column, const std::string& fan) {
    if (!reader_.is_known(fan, fans_, "fan")) return;
    if (std::find(switched_.begin(), switched_.end(), fan) != switched_.end()) {
      return reader_.add(
          reader_.header_place(), "contradiction",
          fmt::format("the fan {} is switched by the model's \"fan_control\"; expected no column for it",
                      quoted(fan)));
    }
    trace_.fans[fan] = reader_.fan_states(column);
  }

  void check_time() {
    const std::size_t column = table_.find("time");
    for (std::size_t row = 1; row < trace_.time.size(); ++row) {
      if (trace_.time[row] > trace_.time[row - 1]) continue;
      reader_.add(table_.place(row, column), "time_not_rising",
                  fmt::format("the time is {}, the row before has {}; expected rising times",
                              units::show(trace_.time[row], Quantity::time, 9),
                              units::show(trace_.time[row - 1], Quantity::time, 9)));
    }
  }

  const Table& table_;
  ColumnReader reader_;
  std::vector<std::string_view> loops_;
  std::vector<std::string_view> fans_;
  std::vector<std::string_view> switched_;  // by fan_control
  bool has_pressures_ = false;
  Trace trace_;
};

}  // namespace

Result<Trace> read_trace(const std::string& path, const Model& model) {
  const Result<Table> table = read_csv(path, limits);
  if (!table) return table.issues();
  return TraceReader(table.value(), model).read();
}

Result<Trace> parse_trace(std::string text, const std::string& label, const Model& model) {
  const Result<Table> table = parse_csv(std::move(text), label, limits);
  if (!table) return table.issues();
  return TraceReader(table.value(), model).read();
}

}  // namespace corefeed::model
