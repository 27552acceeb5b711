// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/trace.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <limits>
#include <optional>

#include "corefeed/model/csv_table.hpp"
#include "corefeed/model/issue_list.hpp"
#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

/// An hour at 50 Hz. More is a whole race, which is better asked stint by stint.
constexpr TableLimits limits{.bytes = 64'000'000, .rows = 200'000};

/// A column of numbers that a trace may have.
struct Known {
  std::string_view name;
  Quantity quantity;
  double lowest;
  double highest;
};
constexpr double unbounded = std::numeric_limits<double>::infinity();
constexpr std::array<Known, 5> plain_columns{{{"time", Quantity::time, -unbounded, unbounded},
                                              {"speed", Quantity::speed, 0.0, 120.0},
                                              {"yaw", Quantity::angle, -1.6, 1.6},
                                              {"engine_speed", Quantity::shaft_speed, 0.0, 3000.0},
                                              {"ride_height", Quantity::length, -1.0, 2.0}}};
constexpr Known load_column{"heat_load", Quantity::power, 0.0, unbounded};
constexpr std::array<std::string_view, 4> fan_words{"on", "freewheeling", "stopped", "removed"};

class TraceReader {
 public:
  TraceReader(const Table& table, const Model& model) : table_(table) {
    for (const Loop& loop : model.loops) {
      loops_.push_back(loop.name);
      for (const cooling::FanControl& control : loop.transient.fan_control) switched_.push_back(control.fan);
    }
    for (const Element& element : model.elements) {
      if (element.numbers.kind->name == "fan") fans_.push_back(element.name);
    }
    trace_.file = table.file();
  }

  Result<Trace> read() {
    for (const std::string_view needed : {"time", "speed"}) {
      const Result<std::size_t> column = table_.column(needed);
      if (!column) issues_.add(column.issues().front());
    }
    for (std::size_t column = 0; column < table_.columns().size(); ++column) read_column(column);
    if (table_.rows() < 2) {
      add(header_place(), "too_few_rows",
          "the trace has one row; expected at least two, a beginning and an end");
    }
    check_time();
    if (!issues_.empty()) return issues_.take(table_.file());
    const double begin = trace_.time.front();
    for (double& time : trace_.time) time -= begin;
    return std::move(trace_);
  }

 private:
  void add(Place place, std::string code, std::string text) {
    if (issues_.is_full()) return issues_.count_one();
    Issue issue;
    issue.code = std::move(code);
    issue.place = std::move(place);
    issue.text = std::move(text);
    issues_.add(std::move(issue));
  }

  Place header_place() const { return {table_.file(), table_.header_line(), 0, {}}; }

  void read_column(std::size_t column) {
    const std::string& name = table_.columns()[column].name;
    const std::size_t dot = name.find('.');
    const std::string_view group = std::string_view(name).substr(0, dot);
    if (dot != std::string::npos && group == load_column.name) {
      const std::string loop = name.substr(dot + 1);
      if (is_known(loop, loops_, "loop")) trace_.heat_load[loop] = numbers(column, load_column);
      return;
    }
    if (dot != std::string::npos && group == "fans") return read_fan(column, name.substr(dot + 1));
    for (const Known& known : plain_columns) {
      if (known.name == name) return take(known, numbers(column, known));
    }
    refuse(name);
  }

  void take(const Known& known, std::vector<double> values) {
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
      issue.place = header_place();
      issue.text = fmt::format("nothing in the model depends on the column {}", quoted(known.name));
      trace_.warnings.push_back(std::move(issue));
    }
  }

  void refuse(const std::string& name) {
    std::vector<std::string> words;
    for (const Known& known : plain_columns) words.emplace_back(known.name);
    for (const std::string_view loop : loops_) words.push_back(fmt::format("heat_load.{}", loop));
    for (const std::string_view fan : fans_) words.push_back(fmt::format("fans.{}", fan));
    const std::vector<std::string_view> known(words.begin(), words.end());
    add(header_place(), "unknown_column",
        fmt::format("a trace has no column {}{}; there are: {}", quoted(name), suggestion(name, known),
                    fmt::join(known, ", ")));
  }

  bool is_known(std::string_view name, const std::vector<std::string_view>& known, std::string_view what) {
    if (std::find(known.begin(), known.end(), name) != known.end()) return true;
    add(header_place(), "unknown_name",
        fmt::format("no {} is called {}{}; there are: {}", what, quoted(name), suggestion(name, known),
                    known.empty() ? std::string("none") : fmt::format("{}", fmt::join(known, ", "))));
    return false;
  }

  std::vector<double> numbers(std::size_t column, const Known& known) {
    const Result<double> factor = column_factor(table_, column, known.quantity);
    if (!factor) issues_.add(factor.issues().front());
    Result<std::vector<double>> read = table_.numbers(column);
    if (!read) {
      for (const Issue& issue : read.issues()) issues_.add(issue);
    }
    if (!factor || !read) return {};
    std::vector<double> values = std::move(read).value();
    for (std::size_t row = 0; row < values.size(); ++row) {
      values[row] *= factor.value();
      if (values[row] >= known.lowest && values[row] <= known.highest) continue;
      const auto shown = [&known](double value) { return units::show(value, known.quantity); };
      add(table_.place(row, column), "out_of_bounds",
          known.highest == unbounded
              ? fmt::format("{} is {}; expected at least {}", table_.columns()[column].name,
                            shown(values[row]), shown(known.lowest))
              : fmt::format("{} is {}; expected {} to {}", table_.columns()[column].name, shown(values[row]),
                            shown(known.lowest), shown(known.highest)));
    }
    return values;
  }

  void read_fan(std::size_t column, const std::string& fan) {
    if (!is_known(fan, fans_, "fan")) return;
    if (table_.columns()[column].has_unit) {
      return add(header_place(), "wrong_dimension",
                 fmt::format("the column {} holds words and has no unit", quoted("fans." + fan)));
    }
    if (std::find(switched_.begin(), switched_.end(), fan) != switched_.end()) {
      return add(
          header_place(), "contradiction",
          fmt::format("the fan {} is switched by the model's \"fan_control\"; expected no column for it",
                      quoted(fan)));
    }
    std::vector<losses::FanState>& states = trace_.fans[fan];
    for (std::size_t row = 0; row < table_.rows(); ++row) {
      const std::string_view word = table_.text(row, column);
      const auto found = std::find(fan_words.begin(), fan_words.end(), word);
      if (found == fan_words.end()) {
        add(table_.place(row, column), "unknown_name",
            fmt::format("{} is no state of a fan{}; expected one of: {}", quoted(word),
                        suggestion(word, {fan_words.begin(), fan_words.end()}), fmt::join(fan_words, ", ")));
      }
      states.push_back(static_cast<losses::FanState>(found - fan_words.begin()));
    }
  }

  void check_time() {
    const std::size_t column = table_.find("time");
    for (std::size_t row = 1; row < trace_.time.size(); ++row) {
      if (trace_.time[row] > trace_.time[row - 1]) continue;
      add(table_.place(row, column), "time_not_rising",
          fmt::format("the time is {}, the row before has {}; expected rising times",
                      units::show(trace_.time[row], Quantity::time, 9),
                      units::show(trace_.time[row - 1], Quantity::time, 9)));
    }
  }

  const Table& table_;
  std::vector<std::string_view> loops_;
  std::vector<std::string_view> fans_;
  std::vector<std::string_view> switched_;  // by fan_control
  Trace trace_;
  IssueList issues_;
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
