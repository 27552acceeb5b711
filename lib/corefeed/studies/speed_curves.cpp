// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/speed_curves.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace corefeed::studies {
namespace {

constexpr double below_slowest = 0.6;
constexpr double above_fastest = 1.2;

units::Quantity kind_of(const std::vector<cooling::NamedQuantity>& names, const std::string& quantity) {
  const auto found =
      std::find_if(names.begin(), names.end(), [&](const auto& one) { return one.name == quantity; });
  return found == names.end() ? units::Quantity::number : found->quantity;
}

SpeedCurves curves_of(const model::Model& model, const model::Point& point, const std::vector<double>& speeds,
                      const cooling::SolveOptions& options) {
  SpeedCurves result{.point = point.name, .speed = point.speed, .speeds = speeds, .curves = {}};
  const std::vector<cooling::NamedQuantity> names =
      cooling::quantity_names(model::build(model, point).problem);
  for (const std::string& quantity : quantities_of_interest(model))
    result.curves.push_back({quantity, kind_of(names, quantity), {}});
  for (const double speed : speeds) {
    model::Point moved = point;
    moved.speed = speed;
    const PointResult solved = solve_point(model, moved, options);
    for (SpeedCurve& curve : result.curves) {
      const auto value =
          solved.solution.converged ? solved.solution.value(curve.quantity) : std::optional<double>();
      curve.values.push_back(value.value_or(std::numeric_limits<double>::quiet_NaN()));
    }
  }
  return result;
}

}  // namespace

std::vector<double> speeds_around(const model::Model& model, std::size_t count) {
  double slowest = std::numeric_limits<double>::infinity();
  double fastest = 0.0;
  std::vector<double> speeds;
  for (const model::Point& point : model.points) {
    slowest = std::min(slowest, point.speed);
    fastest = std::max(fastest, point.speed);
    speeds.push_back(point.speed);
  }
  const double from = below_slowest * slowest;
  const double to = above_fastest * fastest;
  for (std::size_t i = 0; i < count && count > 1 && to > from; ++i)
    speeds.push_back(from + (to - from) * static_cast<double>(i) / static_cast<double>(count - 1));
  std::sort(speeds.begin(), speeds.end());
  speeds.erase(std::unique(speeds.begin(), speeds.end()), speeds.end());
  return speeds;
}

std::vector<SpeedCurves> speed_curves(const model::Model& model, const std::vector<double>& speeds,
                                      const StudyOptions& options) {
  cooling::SolveOptions solver = options.solver;
  // A curve shows the state that the search from rest finds; further states are the study's to tell.
  solver.look_for_others = false;
  std::vector<SpeedCurves> list;
  for (const model::Point& point : model.points) {
    const bool wanted = options.points.empty() || std::find(options.points.begin(), options.points.end(),
                                                            point.name) != options.points.end();
    if (wanted) list.push_back(curves_of(model, point, speeds, solver));
  }
  return list;
}

}  // namespace corefeed::studies
