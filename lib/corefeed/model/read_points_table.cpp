// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <array>
#include <limits>

#include "corefeed/model/reader.hpp"
#include "corefeed/model/surface_pressure.hpp"
#include "corefeed/model/table_columns.hpp"

namespace corefeed::model {
namespace {

constexpr TableLimits limits{.bytes = 16'000'000, .rows = 20'000};
constexpr double unbounded = std::numeric_limits<double>::infinity();
constexpr KnownColumn load_column{"heat_load", units::Quantity::power, 0.0, unbounded};
constexpr std::array<KnownColumn, 5> plain_columns{{columns::speed,
                                                    columns::yaw,
                                                    columns::ride_height,
                                                    columns::engine_speed,
                                                    {"shaft_power", units::Quantity::power, 0.0, unbounded}}};

/// The rows of a table as points.
class PointsReader {
 public:
  PointsReader(const Table& table, const std::string& pointer) : table_(table), reader_(table) {
    points_.resize(table.rows());
    for (std::size_t row = 0; row < table.rows(); ++row) {
      points_[row].name = fmt::format("{}", row + 1);
      points_[row].pointer = pointer;
    }
  }

  Result<std::vector<Point>> read() {
    reader_.require("speed");
    for (std::size_t column = 0; column < table_.columns().size(); ++column) read_column(column);
    if (reader_.failed()) return reader_.take_issues();
    return std::move(points_);
  }

 private:
  void read_column(std::size_t column) {
    const std::string& name = table_.columns()[column].name;
    const std::size_t dot = name.find('.');
    const std::string_view group = std::string_view(name).substr(0, dot);
    if (name == "name") return read_names(column);
    for (const KnownColumn& known : plain_columns) {
      if (known.name == name) return take(known.name, reader_.numbers(column, known));
    }
    const std::string member = dot == std::string::npos ? std::string() : name.substr(dot + 1);
    if (!member.empty() && group == "fans") {
      const std::vector<losses::FanState> states = reader_.fan_states(column);
      for (std::size_t row = 0; row < states.size(); ++row) points_[row].fans[member] = states[row];
    } else if (!member.empty() && (group == "heat_load" || group == "cp")) {
      const bool load = group == "heat_load";
      const std::vector<double> values = reader_.numbers(column, load ? load_column : columns::cp);
      for (std::size_t row = 0; row < values.size(); ++row)
        (load ? points_[row].heat_load : points_[row].cp)[member] = values[row];
    } else {
      std::vector<std::string> words{"name"};
      for (const KnownColumn& known : plain_columns) words.emplace_back(known.name);
      words.insert(words.end(), {"heat_load.LOOP", "cp.OPENING", "fans.FAN"});
      reader_.refuse_column("a table of points", name, words);
    }
  }

  void read_names(std::size_t column) {
    for (std::size_t row = 0; row < points_.size(); ++row) {
      points_[row].name = std::string(table_.text(row, column));
      if (points_[row].name.empty())
        reader_.add(table_.place(row, column), "empty_cell", "the point has no name; expected one a row");
    }
  }

  void take(std::string_view name, const std::vector<double>& values) {
    for (std::size_t row = 0; row < values.size(); ++row) {
      Point& point = points_[row];
      if (name == "speed") point.speed = values[row];
      if (name == "yaw") point.yaw = values[row];
      if (name == "ride_height") point.ride_height = values[row];
      if (name == "engine_speed") point.engine_speed = values[row];
      if (name == "shaft_power") point.shaft_power = values[row];
    }
  }

  const Table& table_;
  ColumnReader reader_;
  std::vector<Point> points_;
};

void keep(Reader& reader, const std::vector<Issue>& issues) {
  reader.issues.insert(reader.issues.end(), issues.begin(), issues.end());
}

}  // namespace

void read_points_table(Reader& reader, const Spot& points, Model& model) {
  reader.refuse_unknown(points, {"table"});
  const Spot name = reader.required(points, "table", "CSV file with a row a point");
  const auto path = name ? reader.file(name) : std::nullopt;
  if (!path) return;
  const Result<Table> table = read_csv(*path, limits);
  if (!table) return keep(reader, table.issues());
  Result<std::vector<Point>> read = PointsReader(table.value(), points.pointer).read();
  if (!read) return keep(reader, read.issues());
  model.points = std::move(read).value();
}

void read_surface_pressure(Reader& reader, Model& model) {
  using Axis = SurfacePressure::Axis;
  const Spot object = Reader::member(reader.root(), "surface_pressure");
  if (!object || !reader.want(object, Value::Kind::object)) return;
  reader.refuse_unknown(object, {"table", "axes"});
  std::vector<Axis> axes;
  const Spot list = Reader::member(object, "axes");
  if (list && reader.want(list, Value::Kind::array)) {
    for (std::size_t i = 0; i < list.value->items.size(); ++i) {
      const Spot one{&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))};
      const auto word = reader.choice(one, {"ride_height", "yaw"});
      if (!word) continue;
      const auto axis = static_cast<Axis>(*word);
      if (std::find(axes.begin(), axes.end(), axis) == axes.end()) {
        axes.push_back(axis);
      } else {
        reader.error(one.pointer, "duplicate_name", "this axis is named twice");
      }
    }
  }
  const Spot name = reader.required(object, "table", "CSV file with opening, cp and a column an axis");
  const auto path = name ? reader.file(name) : std::nullopt;
  if (!path) return;
  Result<SurfacePressure> read = SurfacePressure::read(*path, std::move(axes));
  if (!read) return keep(reader, read.issues());
  model.surface_pressure = std::make_shared<const SurfacePressure>(std::move(read).value());
}

}  // namespace corefeed::model
