// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/surface_pressure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "corefeed/model/reader.hpp"
#include "corefeed/model/table_columns.hpp"

namespace corefeed::model {
namespace {

constexpr TableLimits limits{.bytes = 16'000'000, .rows = 100'000};
constexpr KnownColumn sigma_column{"sigma", units::Quantity::number, 0.0, 3.0};

using Axis = SurfacePressure::Axis;

const KnownColumn& column_of(Axis axis) {
  return axis == Axis::ride_height ? columns::ride_height : columns::yaw;
}

std::string shown(Axis axis, double value) { return units::show(value, column_of(axis).quantity); }

/// Two runs stand at one place of an axis if they are this close, m or rad.
constexpr double same = 1e-6;

std::vector<double> rising_values(std::vector<double> all) {
  std::sort(all.begin(), all.end());
  const auto close = [](double a, double b) { return b - a < same; };
  all.erase(std::unique(all.begin(), all.end(), close), all.end());
  return all;
}

std::size_t place_in(const std::vector<double>& rising, double value) {
  return static_cast<std::size_t>(std::lower_bound(rising.begin(), rising.end(), value - same) -
                                  rising.begin());
}

/// Between which two values of an axis a point lies, and how far along, 0 to 1.
struct Between {
  std::size_t left = 0;
  double share = 0;
};

Between between(const std::vector<double>& rising, double value) {
  if (value <= rising.front() || rising.size() == 1) return {0, 0.0};
  if (value >= rising.back()) return {rising.size() - 2, 1.0};
  const auto right =
      static_cast<std::size_t>(std::upper_bound(rising.begin(), rising.end(), value) - rising.begin());
  return {right - 1, (value - rising[right - 1]) / (rising[right] - rising[right - 1])};
}

}  // namespace

class SurfacePressureReader {
 public:
  SurfacePressureReader(const Table& table, std::vector<Axis> axes) : table_(table), reader_(table) {
    made_.file_ = table.file();
    made_.axes_ = std::move(axes);
    if (!made_.axes_.empty()) return;
    for (const Axis axis : {Axis::ride_height, Axis::yaw}) {
      if (table.find(column_of(axis).name) != Table::npos) made_.axes_.push_back(axis);
    }
  }

  Result<SurfacePressure> read() {
    const std::size_t opening = reader_.require("opening");
    const std::size_t cp = reader_.require("cp");
    refuse_others();
    std::vector<std::vector<double>> along;
    for (const Axis axis : made_.axes_) {
      const std::size_t column = reader_.require(column_of(axis).name);
      if (column != Table::npos) along.push_back(reader_.numbers(column, column_of(axis)));
    }
    if (reader_.failed()) return reader_.take_issues();
    const std::vector<double> values = reader_.numbers(cp, columns::cp);
    std::vector<double> sigmas(table_.rows(), 0.0);
    if (const std::size_t column = table_.find("sigma"); column != Table::npos)
      sigmas = reader_.numbers(column, sigma_column);
    if (reader_.failed()) return reader_.take_issues();
    for (const std::vector<double>& all : along) made_.values_.push_back(rising_values(all));
    for (std::size_t row = 0; row < table_.rows(); ++row)
      place(row, opening, along, values[row], sigmas[row]);
    for (const auto& [name, list] : made_.cp_) want_all(name, list);
    if (reader_.failed()) return reader_.take_issues();
    return std::move(made_);
  }

 private:
  void refuse_others() {
    std::vector<std::string> known{"opening", "cp", "sigma"};
    for (const Axis axis : made_.axes_) known.emplace_back(column_of(axis).name);
    for (const Table::Column& column : table_.columns()) {
      if (std::find(known.begin(), known.end(), column.name) == known.end())
        reader_.refuse_column("the table of surface pressures", column.name, known);
    }
  }

  std::size_t size() const {
    std::size_t product = 1;
    for (const std::vector<double>& values : made_.values_) product *= values.size();
    return product;
  }

  void place(std::size_t row, std::size_t opening, const std::vector<std::vector<double>>& along, double cp,
             double sigma) {
    const std::string name(table_.text(row, opening));
    std::vector<double>& list = made_.cp_[name];
    list.resize(size(), std::numeric_limits<double>::quiet_NaN());
    std::vector<double>& spread = made_.sigma_[name];
    spread.resize(size(), 0.0);
    std::size_t place = 0;
    for (std::size_t axis = 0; axis < along.size(); ++axis)
      place = place * made_.values_[axis].size() + place_in(made_.values_[axis], along[axis][row]);
    if (!std::isnan(list[place])) {
      reader_.add(
          table_.place(row, opening), "duplicate_run",
          fmt::format("{} has a row for {} already; expected one row a run", quoted(name), run(place)));
    }
    list[place] = cp;
    spread[place] = sigma;
  }

  /// "ride_height 30 mm, yaw 3 deg"
  std::string run(std::size_t place) const {
    std::string words;
    for (std::size_t axis = made_.axes_.size(); axis-- > 0;) {
      const std::vector<double>& values = made_.values_[axis];
      const std::string one = fmt::format("{} {}", column_of(made_.axes_[axis]).name,
                                          shown(made_.axes_[axis], values[place % values.size()]));
      words = words.empty() ? one : fmt::format("{}, {}", one, words);
      place /= values.size();
    }
    return words.empty() ? "the only run" : words;
  }

  void want_all(const std::string& name, const std::vector<double>& list) {
    for (std::size_t place = 0; place < list.size(); ++place) {
      if (!std::isnan(list[place])) continue;
      reader_.add(reader_.header_place(), "missing_run",
                  fmt::format("{} has no row for {}; expected one for every pair of ride height and yaw that "
                              "the table names",
                              quoted(name), run(place)));
    }
  }

  const Table& table_;
  ColumnReader reader_;
  SurfacePressure made_;
};

std::string_view SurfacePressure::name_of(Axis axis) { return column_of(axis).name; }

std::vector<double> SurfacePressure::values(Axis axis) const {
  for (std::size_t i = 0; i < axes_.size(); ++i) {
    if (axes_[i] == axis) return values_[i];
  }
  return {};
}

std::vector<std::string> SurfacePressure::openings() const {
  std::vector<std::string> names;
  for (const auto& [name, list] : cp_) names.push_back(name);
  return names;
}

SurfacePressure::Taken SurfacePressure::at(std::string_view opening, double ride_height, double yaw) const {
  Taken taken;
  // Corners of the cell around the point, with their weights.
  std::vector<std::pair<std::size_t, double>> corners{{0, 1.0}};
  for (std::size_t axis = 0; axis < axes_.size(); ++axis) {
    const std::vector<double>& values = values_[axis];
    const double value = axes_[axis] == Axis::ride_height ? ride_height : yaw;
    if (value < values.front() - same || value > values.back() + same) {
      taken.held += fmt::format("{}{} {} (runs from {} to {})", taken.held.empty() ? "" : ", ",
                                name_of(axes_[axis]), shown(axes_[axis], value),
                                shown(axes_[axis], values.front()), shown(axes_[axis], values.back()));
    }
    const Between where = between(values, value);
    std::vector<std::pair<std::size_t, double>> finer;
    for (const auto& [place, weight] : corners) {
      finer.emplace_back(place * values.size() + where.left, weight * (1.0 - where.share));
      if (where.share > 0.0) finer.emplace_back(place * values.size() + where.left + 1, weight * where.share);
    }
    corners = std::move(finer);
  }
  const std::vector<double>& cp = cp_.find(opening)->second;
  const std::vector<double>& sigma = sigma_.find(opening)->second;
  for (const auto& [place, weight] : corners) {
    taken.cp += weight * cp[place];
    taken.sigma += weight * sigma[place];
  }
  return taken;
}

Result<SurfacePressure> SurfacePressure::read(const std::string& path, std::vector<Axis> axes) {
  const Result<Table> table = read_csv(path, limits);
  if (!table) return table.issues();
  return SurfacePressureReader(table.value(), std::move(axes)).read();
}

}  // namespace corefeed::model
