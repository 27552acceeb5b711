// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/model/surface_pressure.hpp"
#include "tests/fuzz/oracle.hpp"

/// Tables of surface pressures: what is accepted has rising axes, gives every run back, and between runs
/// stays within what the runs give. The first byte chooses which axes are asked for.
namespace corefeed::fuzz {
namespace {

using model::SurfacePressure;
using Axis = SurfacePressure::Axis;

struct Run {
  double ride_height = 0;
  double yaw = 0;
};

std::vector<double> or_zero(std::vector<double> values) {
  return values.empty() ? std::vector<double>{0.0} : values;
}

void require_opening(const SurfacePressure& table, const std::string& opening) {
  const std::vector<double> heights = or_zero(table.values(Axis::ride_height));
  const std::vector<double> yaws = or_zero(table.values(Axis::yaw));
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const double height : heights) {
    for (const double yaw : yaws) {
      const SurfacePressure::Taken taken = table.at(opening, height, yaw);
      require(taken.held.empty(), "a run lies inside the runs");
      require(taken.cp >= -6.0 && taken.cp <= 1.2, "a cp is within its bounds");
      require(taken.sigma >= 0.0 && std::isfinite(taken.sigma), "a sigma is no less than zero");
      low = std::min(low, taken.cp);
      high = std::max(high, taken.cp);
    }
  }
  const double middle_height = 0.5 * (heights.front() + heights.back());
  const double middle_yaw = 0.5 * (yaws.front() + yaws.back());
  for (const Run& run : {Run{middle_height, middle_yaw}, Run{heights.back() + 1.0, middle_yaw},
                         Run{middle_height, yaws.front() - 1.0}}) {
    const double cp = table.at(opening, run.ride_height, run.yaw).cp;
    require(cp >= low - 1e-12 && cp <= high + 1e-12, "between runs and beyond a cp stays within them");
  }
}

}  // namespace

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  static const std::vector<std::vector<Axis>> asked{
      {}, {Axis::ride_height}, {Axis::yaw}, {Axis::ride_height, Axis::yaw}, {Axis::yaw, Axis::ride_height}};
  const auto [axes, text] = choose(bytes, asked.size());
  const Result<SurfacePressure> read = SurfacePressure::read(folder.write("cp.csv", text), asked[axes]);
  if (!read) return require_sound(read.issues(), text);
  for (const Axis axis : {Axis::ride_height, Axis::yaw}) {
    const std::vector<double> values = read.value().values(axis);
    require(std::is_sorted(values.begin(), values.end(), std::less_equal<>()), "an axis rises");
    for (const double value : values) require(std::isfinite(value), "an axis is finite");
  }
  require(!read.value().openings().empty(), "a table has an opening");
  for (const std::string& opening : read.value().openings()) {
    require(read.value().has(opening), "an opening is found by its name");
    require_opening(read.value(), opening);
  }
}

}  // namespace corefeed::fuzz
