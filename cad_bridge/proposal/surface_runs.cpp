// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "cad_bridge/proposal/surface_average.hpp"
#include "corefeed/model/csv_table.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

using units::Quantity;

/// A CFD surface of some millions of points.
constexpr model::TableLimits limits{.bytes = 1'000'000'000, .rows = 20'000'000};

Issue issue_of(std::string code, Place place, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::input;
  issue.place = std::move(place);
  issue.text = std::move(text);
  return issue;
}

/// The axes that a label gives behind its file: "@ride_height=30mm,yaw=2deg".
struct Label {
  std::string file;
  std::optional<double> ride_height;
  std::optional<double> yaw;
};

Result<Label> label_of(const std::string& text) {
  Label label;
  const std::size_t at = text.rfind('@');
  label.file = text.substr(0, at);
  std::string rest = at == std::string::npos ? std::string() : text.substr(at + 1);
  while (!rest.empty()) {
    const std::string one = rest.substr(0, rest.find(','));
    rest = one.size() == rest.size() ? std::string() : rest.substr(one.size() + 1);
    const std::size_t equal = one.find('=');
    const std::string axis = one.substr(0, equal);
    const bool height = axis == "ride_height";
    if (equal == std::string::npos || (!height && axis != "yaw")) {
      return std::vector{
          issue_of("unknown_name", {text, 0, 0, {}},
                   fmt::format("{} behind the @; expected ride_height=30mm or yaw=2deg", quoted(one)))};
    }
    const Result<double> value =
        units::parse(one.substr(equal + 1), height ? Quantity::length : Quantity::angle);
    if (!value) return value.issues();
    (height ? label.ride_height : label.yaw) = value.value();
  }
  return label;
}

/// Columns in SI, by the order of `names`; an optional one that is absent is empty.
class Columns {
 public:
  explicit Columns(const model::Table& table) : table_(table) {}

  std::vector<double> read(std::string_view name, Quantity quantity, bool needed) {
    if (table_.find(name) == model::Table::npos && !needed) return {};
    const Result<std::size_t> column = table_.column(name);
    if (!column) return fail(column.issues());
    const Result<double> factor = model::column_factor(table_, column.value(), quantity);
    if (!factor) return fail(factor.issues());
    Result<std::vector<double>> values = table_.numbers(column.value());
    if (!values) return fail(values.issues());
    for (double& value : values.value()) value *= factor.value();
    return std::move(values).value();
  }

  std::vector<Issue> issues;

 private:
  std::vector<double> fail(const std::vector<Issue>& list) {
    issues.insert(issues.end(), list.begin(), list.end());
    return {};
  }
  const model::Table& table_;
};

/// The run of that ride height and yaw, made at its first row.
SurfaceRun& run_at(std::vector<SurfaceRun>& runs, const std::string& file, std::optional<double> ride_height,
                   std::optional<double> yaw) {
  for (SurfaceRun& run : runs) {
    if (run.ride_height == ride_height && run.yaw == yaw) return run;
  }
  runs.push_back({ride_height, yaw, file, {}, {}});
  return runs.back();
}

}  // namespace

Result<std::vector<SurfaceRun>> read_surface_runs(const std::string& label) {
  const Result<Label> named = label_of(label);
  if (!named) return named.issues();
  const std::string& file = named.value().file;
  const Result<model::Table> table = model::read_csv(file, limits);
  if (!table) return table.issues();
  Columns columns(table.value());
  const std::vector<double> x = columns.read("x", Quantity::length, true);
  const std::vector<double> y = columns.read("y", Quantity::length, true);
  const std::vector<double> z = columns.read("z", Quantity::length, true);
  const std::vector<double> cp = columns.read("cp", Quantity::number, true);
  const std::vector<double> height = columns.read("ride_height", Quantity::length, false);
  const std::vector<double> yaw = columns.read("yaw", Quantity::angle, false);
  const Place header{file, table.value().header_line(), 0, {}};
  if ((named.value().ride_height && !height.empty()) || (named.value().yaw && !yaw.empty())) {
    columns.issues.push_back(issue_of(
        "contradiction", header, "the table has a column for what stands behind the @ too; expected one"));
  }
  if (!columns.issues.empty()) return columns.issues;
  std::vector<SurfaceRun> runs;
  for (std::size_t row = 0; row < x.size(); ++row) {
    SurfaceRun& run = run_at(runs, file, height.empty() ? named.value().ride_height : height[row],
                             yaw.empty() ? named.value().yaw : yaw[row]);
    run.points.push_back({x[row], y[row], z[row]});
    run.cp.push_back(cp[row]);
  }
  return runs;
}

}  // namespace corefeed::proposal
