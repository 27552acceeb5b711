// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/conductance_fit.hpp"

#include <fmt/format.h>

#include <Eigen/LU>
#include <Eigen/QR>
#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <utility>

namespace corefeed::cooling {
namespace {

using Eigen::Index;
using Columns = Eigen::Matrix<double, Eigen::Dynamic, 2>;

/// Best two coefficients that are not negative, with their 1-sigma from the residual.
struct Pair {
  Eigen::Vector2d value;
  Eigen::Vector2d sigma;
  double square = 0;  ///< sum of squared residuals
  bool full_rank = true;
};

Pair single(const Columns& columns, const Eigen::VectorXd& wanted, Index used) {
  Pair pair;
  pair.value.setZero();
  pair.sigma.setZero();
  const double weight = columns.col(used).squaredNorm();
  pair.value[used] = std::max(columns.col(used).dot(wanted) / weight, 0.0);
  pair.square = (columns * pair.value - wanted).squaredNorm();
  const double freedom = std::max<double>(static_cast<double>(wanted.size()) - 1, 1);
  pair.sigma[used] = std::sqrt(pair.square / freedom / weight);
  return pair;
}

/// With two unknowns the bounded optimum is the free one or lies on one of the two axes.
Pair nonnegative_pair(const Columns& columns, const Eigen::VectorXd& wanted) {
  Eigen::ColPivHouseholderQR<Columns> solver;
  solver.setThreshold(1e-6);
  solver.compute(columns);
  Pair best = single(columns, wanted, 0);
  if (solver.rank() < 2) {
    best.full_rank = false;
    return best;
  }
  const Eigen::Vector2d free = solver.solve(wanted);
  if (free.minCoeff() >= 0) {
    Pair pair;
    pair.value = free;
    pair.square = (columns * free - wanted).squaredNorm();
    const double freedom = std::max<double>(static_cast<double>(wanted.size()) - 2, 1);
    const Eigen::Matrix2d normal = columns.transpose() * columns;
    pair.sigma = (pair.square / freedom * normal.inverse().diagonal()).cwiseSqrt();
    return pair;
  }
  const Pair other = single(columns, wanted, 1);
  return other.square < best.square ? other : best;
}

Issue problem(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.text = std::move(text);
  return issue;
}

Issue note(std::string code, std::string text) {
  Issue issue = problem(std::move(code), std::move(text));
  issue.severity = Severity::warning;
  return issue;
}

/// 1 - (weighted residual)/(weighted spread about the weighted mean).
double determination(const Eigen::VectorXd& weights, const Eigen::VectorXd& values, double square) {
  const double mean = weights.dot(values) / weights.sum();
  const double spread = (weights.array() * (values.array() - mean).square()).sum();
  return 1 - square / spread;
}

/// Slope of ln(loss) over ln(velocity).
double log_slope(std::span<const LossPoint> points) {
  double x = 0;
  double y = 0;
  for (const LossPoint& point : points) {
    x += std::log(point.velocity);
    y += std::log(point.loss);
  }
  x /= static_cast<double>(points.size());
  y /= static_cast<double>(points.size());
  double above = 0;
  double below = 0;
  for (const LossPoint& point : points) {
    const double off = std::log(point.velocity) - x;
    above += off * (std::log(point.loss) - y);
    below += off * off;
  }
  return above / below;
}

std::vector<Issue> loss_problems(std::span<const LossPoint> points) {
  std::vector<Issue> problems;
  if (points.size() < 4) {
    problems.push_back(
        problem("too_few_points", fmt::format("the loss curve has {} points, expected 4 or more "
                                              "over the range of face velocity",
                                              points.size())));
  }
  for (const LossPoint& point : points) {
    if (std::isfinite(point.velocity) && point.velocity > 0 && std::isfinite(point.loss) && point.loss > 0 &&
        std::isfinite(point.sigma) && point.sigma > 0) {
      continue;
    }
    problems.push_back(problem(
        "out_of_range", fmt::format("the loss curve has the point {:.4g} m/s, {:.4g} Pa; expected velocity, "
                                    "loss and sigma above 0",
                                    point.velocity, point.loss)));
  }
  return problems;
}

void note_loss(LossFit& fit) {
  if (!(fit.exponent >= smallest_loss_exponent && fit.exponent <= largest_loss_exponent)) {
    fit.notes.push_back(
        note("loss_exponent",
             fmt::format(
                 "the core's loss rises with the power {:.2f} of velocity, expected {:.2f} to {:.2f}; check "
                 "the test's units, and whether shroud or grille were part of it",
                 fit.exponent, smallest_loss_exponent, largest_loss_exponent)));
  }
  if (fit.quadratic <= 0) {
    fit.notes.push_back(note("no_quadratic_loss",
                             "the loss curve has no quadratic part, which no core shows over a range of "
                             "velocity; check the points"));
  }
  if (fit.linear <= 0) {
    fit.notes.push_back(
        note("no_linear_loss",
             "the loss curve has no linear part; beyond its points the loss at low velocity is "
             "a guess"));
  }
}

}  // namespace

Result<LossFit> fit_loss(std::span<const LossPoint> points) {
  std::vector<Issue> problems = loss_problems(points);
  if (!problems.empty()) return problems;
  const auto size = static_cast<Index>(points.size());
  Columns columns(size, 2);
  Eigen::VectorXd wanted(size);
  Eigen::VectorXd weights(size);
  Eigen::VectorXd losses(size);
  double weight_sum = 0;
  for (Index i = 0; i < size; ++i) {
    const LossPoint& point = points[static_cast<std::size_t>(i)];
    const double scale = 1 / (point.sigma * point.loss);
    columns.row(i) << scale * point.velocity, scale * point.velocity * point.velocity;
    wanted[i] = 1 / point.sigma;
    weights[i] = scale * scale;
    losses[i] = point.loss;
    weight_sum += wanted[i] * wanted[i];
  }
  const Pair pair = nonnegative_pair(columns, wanted);
  if (!pair.full_rank) {
    return problem("too_few_points", "all points of the loss curve stand at one velocity; expected a range");
  }
  LossFit fit;
  fit.linear = pair.value[0];
  fit.quadratic = pair.value[1];
  fit.sigma_linear = pair.sigma[0];
  fit.sigma_quadratic = pair.sigma[1];
  const auto count = static_cast<double>(size);
  fit.scatter = std::sqrt(pair.square / weight_sum * count / (count - 2));
  fit.r_squared = determination(weights, losses, pair.square);
  fit.exponent = log_slope(points);
  note_loss(fit);
  return fit;
}

Result<double> conductance_of(const HeatPoint& point, const Layout& layout) {
  const double air = point.air_flow * point.air_heat_capacity;
  const double liquid = point.liquid_flow * point.liquid_heat_capacity;
  if (!(air > 0 && liquid > 0 && point.inlet_difference > 0 && std::isfinite(air) && std::isfinite(liquid))) {
    return problem("out_of_range",
                   fmt::format("a heat point has the capacity rates {:.4g} and {:.4g} W/K and the inlet "
                               "difference {:.4g} K; expected all above 0",
                               air, liquid, point.inlet_difference));
  }
  const double smallest = std::min(air, liquid);
  const double share = point.heat / (smallest * point.inlet_difference);
  const Result<double> ntu = ntu_of(layout, share, smallest / std::max(air, liquid), air <= liquid);
  if (!ntu) return ntu.issues();
  return ntu.value() * smallest;
}

namespace {

/// Flows count as different from 5 % on, beyond the scatter of setting one.
bool differs(double least, double most) { return most > 1.05 * least; }

struct Spread {
  double mean = 1;  ///< geometric
  bool varied = false;
};

Spread spread_of(std::span<const ConductancePoint> points, double ConductancePoint::*flow) {
  double sum = 0;
  double least = points.front().*flow;
  double most = least;
  for (const ConductancePoint& point : points) {
    sum += std::log(point.*flow);
    least = std::min(least, point.*flow);
    most = std::max(most, point.*flow);
  }
  return {std::exp(sum / static_cast<double>(points.size())), differs(least, most)};
}

/// Least squares on the relative departures of 1/UA, for one air exponent.
Pair resistances(std::span<const ConductancePoint> points, const ConductanceFit& fit, double air_exponent) {
  const auto size = static_cast<Index>(points.size());
  Columns columns(size, 2);
  Eigen::VectorXd wanted(size);
  for (Index i = 0; i < size; ++i) {
    const ConductancePoint& point = points[static_cast<std::size_t>(i)];
    columns(i, 0) = point.conductance * std::pow(point.air_flow / fit.air_flow, -air_exponent);
    columns(i, 1) = point.conductance * std::pow(point.liquid_flow / fit.liquid_flow, -fit.liquid_exponent);
    wanted[i] = 1 - point.conductance * fit.wall_resistance;
  }
  return nonnegative_pair(columns, wanted);
}

double free_exponent(std::span<const ConductancePoint> points, const ConductanceFit& fit) {
  const auto square = [&](double exponent) { return resistances(points, fit, exponent).square; };
  // Half the digits of a double are all that a minimum's place can have.
  constexpr int bits = 26;
  std::uintmax_t steps = 100;
  return boost::math::tools::brent_find_minima(square, smallest_air_exponent, largest_air_exponent, bits,
                                               steps)
      .first;
}

std::vector<Issue> conductance_problems(std::span<const ConductancePoint> points,
                                        const ConductanceOptions& options) {
  std::vector<Issue> problems;
  if (points.empty()) {
    problems.push_back(problem("too_few_points", "the heat test has no points, expected 1 or more"));
  }
  for (const ConductancePoint& point : points) {
    const double known = 1 - point.conductance * options.wall_resistance;
    if (std::isfinite(point.conductance) && point.conductance > 0 && std::isfinite(point.air_flow) &&
        point.air_flow > 0 && std::isfinite(point.liquid_flow) && point.liquid_flow > 0 && known > 0) {
      continue;
    }
    problems.push_back(problem(
        "out_of_range",
        fmt::format(
            "the heat test has the point {:.4g} kg/s air, {:.4g} kg/s liquid, {:.4g} W/K; expected all "
            "above 0 and a wall resistance below the whole one",
            point.air_flow, point.liquid_flow, point.conductance)));
  }
  return problems;
}

/// No flow differs: the mean of the points, shared as the options say.
void assume_split(ConductanceFit& fit, std::span<const ConductancePoint> points,
                  const ConductanceOptions& options) {
  double sum = 0;
  for (const ConductancePoint& point : points) sum += 1 / point.conductance - fit.wall_resistance;
  const double resistance = sum / static_cast<double>(points.size());
  fit.split_assumed = true;
  fit.air_value = 1 / (options.air_share * resistance);
  fit.liquid_value = 1 / ((1 - options.air_share) * resistance);
  fit.sigma_air = fit.sigma_liquid = fit.r_squared = std::numeric_limits<double>::quiet_NaN();
  fit.scatter = one_point_sigma;
  fit.notes.push_back(
      note("conductance_split_assumed",
           fmt::format(
               "the points of the heat test do not tell the air's resistance from the liquid's: {:.0f} % are "
               "taken as the air's; give points at two air flows and two liquid flows",
               100 * options.air_share)));
}

void take(ConductanceFit& fit, const Pair& pair, std::span<const ConductancePoint> points) {
  fit.air_value = 1 / pair.value[0];
  fit.liquid_value = 1 / pair.value[1];
  fit.sigma_air = pair.sigma[0] / pair.value[0];
  fit.sigma_liquid = pair.sigma[1] / pair.value[1];
  const auto count = static_cast<double>(points.size());
  const double unknowns = fit.air_exponent_fitted ? 3 : 2;
  fit.scatter = std::sqrt(pair.square / std::max(count - unknowns, 1.0));
  Eigen::VectorXd weights(static_cast<Index>(points.size()));
  Eigen::VectorXd values(weights.size());
  for (Index i = 0; i < weights.size(); ++i) {
    const double conductance = points[static_cast<std::size_t>(i)].conductance;
    weights[i] = conductance * conductance;
    values[i] = 1 / conductance;
  }
  fit.r_squared = count > unknowns ? determination(weights, values, pair.square)
                                   : std::numeric_limits<double>::quiet_NaN();
  for (Index i = 0; i < 2; ++i) {
    if (pair.value[i] > 0) continue;
    fit.notes.push_back(note(
        "conductance_without_resistance",
        fmt::format("the heat test shows no resistance on the {} side; check its flows, or the other side's "
                    "exponent",
                    i == 0 ? "air" : "liquid")));
  }
}

void note_sigma(ConductanceFit& fit) {
  constexpr double loose = 0.5;
  const double worst = std::max(fit.sigma_air, fit.sigma_liquid);
  if (!(std::isfinite(worst) && worst > loose)) return;
  fit.notes.push_back(
      note("conductance_uncertain",
           fmt::format(
               "the heat test knows the weaker of its two conductances only to {:.0f} %; give points at two "
               "air flows and two liquid flows far apart",
               100 * worst)));
}

void note_exponent(ConductanceFit& fit) {
  constexpr double near = 1e-3;
  if (fit.air_exponent > smallest_air_exponent + near && fit.air_exponent < largest_air_exponent - near)
    return;
  fit.notes.push_back(
      note("air_exponent_at_its_bound",
           fmt::format(
               "the heat test asks for an air exponent beyond {:.2f}, where it is held; expected {:.2f} to "
               "{:.2f}; check the air flows",
               fit.air_exponent, smallest_air_exponent, largest_air_exponent)));
}

}  // namespace

Result<ConductanceFit> fit_conductance(std::span<const ConductancePoint> points,
                                       const ConductanceOptions& options) {
  std::vector<Issue> problems = conductance_problems(points, options);
  if (!problems.empty()) return problems;
  const Spread air = spread_of(points, &ConductancePoint::air_flow);
  const Spread liquid = spread_of(points, &ConductancePoint::liquid_flow);
  ConductanceFit fit;
  fit.air_flow = air.mean;
  fit.liquid_flow = liquid.mean;
  fit.air_exponent = options.air_exponent;
  fit.liquid_exponent = options.liquid_exponent;
  fit.wall_resistance = options.wall_resistance;
  if (!air.varied && !liquid.varied) {
    assume_split(fit, points, options);
    return fit;
  }
  fit.air_exponent_fitted = air.varied && liquid.varied && points.size() >= 4;
  if (fit.air_exponent_fitted) {
    fit.air_exponent = free_exponent(points, fit);
    note_exponent(fit);
  }
  const Pair pair = resistances(points, fit, fit.air_exponent);
  if (!pair.full_rank) {
    assume_split(fit, points, options);
    return fit;
  }
  take(fit, pair, points);
  note_sigma(fit);
  return fit;
}

}  // namespace corefeed::cooling
