// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/heat_table.hpp"

#include <Eigen/Dense>

// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/interpolators/pchip.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "corefeed/cooling/heat_quadratic.hpp"

namespace corefeed::cooling {
namespace {

constexpr std::size_t first_speeds = 7;
constexpr std::size_t most_speeds = 49;
/// How well a solution half way between two speeds has to be met, as a share of the heat.
constexpr double tolerance = 5e-3;
constexpr std::size_t yaw_points = 5;

/// Shares at which the resistance of a throttled loop is found; at 1 it is zero.
constexpr std::array<double, 4> shares{0.04, 0.15, 0.35, 0.65};

/// The resistance is smooth in the root of the share: a polynomial through the shares above and zero at 1.
std::array<double, shares.size()> share_weights(double share) {
  const double x = std::sqrt(std::clamp(share, shares.front(), 1.0));
  std::array<double, shares.size()> weights{};
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const double own = std::sqrt(shares[i]);
    weights[i] = (x - 1.0) / (own - 1.0);
    for (std::size_t j = 0; j < shares.size(); ++j) {
      if (j != i) weights[i] *= (x - std::sqrt(shares[j])) / (own - std::sqrt(shares[j]));
    }
  }
  return weights;
}

std::vector<double> yaw_nodes(double least, double most) {
  if (most - least < 1e-9) return {least};
  std::vector<double> nodes;
  for (std::size_t i = 0; i < yaw_points; ++i) {
    const double angle = std::numbers::pi * static_cast<double>(i) / (yaw_points - 1);
    nodes.push_back(0.5 * (least + most) - 0.5 * (most - least) * std::cos(angle));
  }
  return nodes;
}

double yaw_weight(const std::vector<double>& yaws, std::size_t node, double yaw) {
  const double x = std::clamp(yaw, yaws.front(), yaws.back());
  double weight = 1.0;
  for (std::size_t j = 0; j < yaws.size(); ++j) {
    if (j != node) weight *= (x - yaws[j]) / (yaws[node] - yaws[j]);
  }
  return weight;
}

using Vector = Eigen::VectorXd;
using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

Eigen::Map<const Vector> as_vector(std::span<const double> numbers) {
  return {numbers.data(), static_cast<Eigen::Index>(numbers.size())};
}

Eigen::Map<const Matrix> as_matrix(std::span<const double> numbers, std::size_t rows) {
  const auto size = static_cast<Eigen::Index>(rows);
  return {numbers.data(), size, size};
}

/// Temperatures at which the quadratics give these heats; they start as a guess.
void find_temperatures(const HeatQuadratic& quadratic, std::span<const double> coefficients,
                       std::span<const double> heat, std::vector<double>& temperature) {
  std::vector<double> own(heat.size());
  std::vector<double> slopes(heat.size() * heat.size());
  for (int step = 0; step < 20; ++step) {
    quadratic.heat(coefficients, temperature, own);
    quadratic.slopes(coefficients, temperature, slopes);
    const Vector rest = as_vector(heat) - as_vector(own);
    const Vector move = as_matrix(slopes, heat.size()).fullPivLu().solve(rest);
    for (std::size_t j = 0; j < temperature.size(); ++j)
      temperature[j] += std::clamp(move[static_cast<Eigen::Index>(j)], -100.0, 100.0);
    if (move.cwiseAbs().maxCoeff() < 1e-9) return;
  }
}

}  // namespace

/// Solves the network where the table needs it.
class HeatTableMaker {
 public:
  HeatTableMaker(const HeatSampler& sample, const HeatRange& range)
      : sample_(sample), range_(range), quadratic_(range.coldest, range.hottest) {}

  Result<HeatTable> make() {
    table_.range_ = range_;
    table_.yaws_ = yaw_nodes(range_.least_yaw, range_.most_yaw);
    table_.grids_.resize(range_.settings);
    for (std::size_t setting = 0; setting < range_.settings && issues_.empty(); ++setting) fill(setting);
    if (!issues_.empty()) return std::move(issues_);
    return std::move(table_);
  }

 private:
  void fill(std::size_t setting) {
    good_.clear();
    // A trace of one speed still wants the four points that a cubic needs.
    const double span = std::max(range_.fastest - range_.slowest, 1.0);
    for (std::size_t i = 0; i < first_speeds; ++i)
      insert(setting, range_.slowest + span * static_cast<double>(i) / (first_speeds - 1));
    while (issues_.empty()) {
      find_slopes(table_.grids_[setting]);
      if (!refine(setting)) return;
    }
  }

  std::vector<double> heats(const HeatState& state) {
    if (!issues_.empty()) return {};
    ++table_.solutions_;
    Result<std::vector<double>> found = sample_(state);
    if (found) return std::move(found).value();
    issues_ = found.issues();
    return {};
  }

  HeatState state_at(std::size_t setting, double speed, double yaw) const {
    return {setting, speed, yaw, quadratic_.sites().front(), std::vector<double>(quadratic_.loops(), 1.0)};
  }

  /// Everything the table holds at one speed, for all yaws.
  void insert(std::size_t setting, double speed) {
    HeatTable::Grid& grid = table_.grids_[setting];
    const auto place = std::lower_bound(grid.speeds.begin(), grid.speeds.end(), speed);
    const auto before = place - grid.speeds.begin();
    grid.speeds.insert(place, speed);
    const auto row = static_cast<std::ptrdiff_t>(grid.speeds.size());
    for (std::size_t yaw = 0; yaw < table_.yaws_.size() && issues_.empty(); ++yaw) {
      HeatTable::Node node{values(state_at(setting, speed, table_.yaws_[yaw])), {}};
      grid.nodes.insert(grid.nodes.begin() + static_cast<std::ptrdiff_t>(yaw) * row + before,
                        std::move(node));
    }
  }

  std::vector<double> values(HeatState state) {
    std::vector<std::vector<double>> at_sites;
    for (const std::vector<double>& site : quadratic_.sites()) {
      state.temperature = site;
      at_sites.push_back(heats(state));
      if (!issues_.empty()) return {};
    }
    std::vector<double> list = quadratic_.coefficients(at_sites);
    state.temperature = quadratic_.sites().front();
    const std::vector<double> coefficients = list;
    for (std::size_t loop = 0; loop < range_.throttled.size(); ++loop) {
      if (!range_.throttled[loop]) continue;
      for (const double share : shares) {
        state.share[loop] = share;
        list.push_back(resistance(coefficients, state, loop));
        if (!issues_.empty()) return {};
      }
      state.share[loop] = 1.0;
    }
    return list;
  }

  /// rho of one throttled loop, K/W: how much colder the unthrottled loop would give the same heat, times the
  /// share. Never quite zero, so that a closed valve lets no heat through.
  double resistance(const std::vector<double>& coefficients, const HeatState& state, std::size_t loop) {
    const std::vector<double> throttled = heats(state);
    if (!issues_.empty()) return 0.0;
    std::vector<double> colder = state.temperature;
    find_temperatures(quadratic_, coefficients, throttled, colder);
    largest_heat_ = std::max(largest_heat_, std::abs(throttled[loop]));
    const double least = 1e-3 * (range_.hottest[loop] - range_.coldest[loop]) / std::max(largest_heat_, 1.0);
    if (std::abs(throttled[loop]) < 1e-6 * largest_heat_) return least;
    const double rho = state.share[loop] * (state.temperature[loop] - colder[loop]) / throttled[loop];
    return std::isfinite(rho) ? std::max(rho, least) : least;
  }

  static void find_slopes(HeatTable::Grid& grid) {
    const std::size_t speeds = grid.speeds.size();
    for (std::size_t first = 0; first < grid.nodes.size(); first += speeds) {
      const std::size_t count = grid.nodes[first].value.size();
      for (std::size_t i = 0; i < speeds; ++i) grid.nodes[first + i].slope.assign(count, 0.0);
      for (std::size_t c = 0; c < count; ++c) {
        std::vector<double> x = grid.speeds;
        std::vector<double> y;
        for (std::size_t i = 0; i < speeds; ++i) y.push_back(grid.nodes[first + i].value[c]);
        const boost::math::interpolators::pchip<std::vector<double>> curve(std::move(x), std::move(y));
        for (std::size_t i = 0; i < speeds; ++i) grid.nodes[first + i].slope[c] = curve.prime(grid.speeds[i]);
      }
    }
  }

  /// Tries the middle of every gap that was not found good yet; false when nothing had to be added.
  bool refine(std::size_t setting) {
    const std::vector<double> speeds = table_.grids_[setting].speeds;
    HeatLookup lookup(table_);
    std::vector<double> wanted;
    for (std::size_t i = 1; i < speeds.size(); ++i) {
      const double middle = 0.5 * (speeds[i - 1] + speeds[i]);
      if (std::find(good_.begin(), good_.end(), middle) != good_.end()) continue;
      (is_met(lookup, setting, middle) ? good_ : wanted).push_back(middle);
      if (!issues_.empty()) return false;
    }
    wanted.resize(std::min(wanted.size(), most_speeds - std::min(most_speeds, speeds.size())));
    for (const double speed : wanted) insert(setting, speed);
    return !wanted.empty();
  }

  bool is_met(HeatLookup& lookup, std::size_t setting, double speed) {
    std::vector<double> guess(quadratic_.loops());
    const HeatState state = state_at(setting, speed, table_.yaws_[table_.yaws_.size() / 2]);
    const std::vector<double> found = heats(state);
    if (!issues_.empty()) return true;
    lookup.heat(setting, speed, state.yaw, state.temperature, state.share, guess);
    for (std::size_t i = 0; i < guess.size(); ++i) {
      largest_heat_ = std::max(largest_heat_, std::abs(found[i]));
      const double allowed = tolerance * std::max(std::abs(found[i]), 0.02 * largest_heat_);
      if (std::abs(found[i] - guess[i]) > allowed) return false;
    }
    return true;
  }

  const HeatSampler& sample_;
  const HeatRange& range_;
  HeatQuadratic quadratic_;
  HeatTable table_;
  std::vector<double> good_;  // middles of gaps that are met
  double largest_heat_ = 0.0;
  std::vector<Issue> issues_;
};

Result<HeatTable> HeatTable::prepare(const HeatSampler& sample, const HeatRange& range) {
  return HeatTableMaker(sample, range).make();
}

HeatLookup::HeatLookup(const HeatTable& table)
    : table_(table),
      quadratic_(table.range().coldest, table.range().hottest),
      effective_(quadratic_.sites().front()),
      resistance_(quadratic_.loops(), 0.0),
      slopes_(quadratic_.loops() * quadratic_.loops()) {}

void HeatLookup::blend(std::size_t setting, double speed, double yaw) {
  const HeatTable::Grid& grid = table_.grids_[setting];
  const std::vector<double>& x = grid.speeds;
  const double held = std::clamp(speed, x.front(), x.back());
  // Speeds follow each other closely: the gap of the last call is mostly the right one.
  place_ = std::min(place_, x.size() - 2);
  if (held < x[place_] || held > x[place_ + 1]) {
    const auto above = std::upper_bound(x.begin() + 1, x.end() - 1, held);
    place_ = static_cast<std::size_t>(above - x.begin()) - 1;
  }
  const double width = x[place_ + 1] - x[place_];
  const double t = (held - x[place_]) / width;
  const double right = t * t * (3.0 - 2.0 * t);
  const double left = 1.0 - right;
  const double left_slope = width * t * (1.0 - t) * (1.0 - t);
  const double right_slope = -width * t * t * (1.0 - t);
  coefficients_.assign(grid.nodes.front().value.size(), 0.0);
  for (std::size_t y = 0; y < table_.yaws_.size(); ++y) {
    const HeatTable::Node& a = grid.node(y, place_);
    const HeatTable::Node& b = grid.node(y, place_ + 1);
    const double weight = yaw_weight(table_.yaws_, y, yaw);
    for (std::size_t c = 0; c < coefficients_.size(); ++c) {
      coefficients_[c] += weight * (left * a.value[c] + right * b.value[c] + left_slope * a.slope[c] +
                                    right_slope * b.slope[c]);
    }
  }
}

bool HeatLookup::find_effective(std::span<const double> temperature, std::span<const double> share) {
  const std::size_t n = quadratic_.loops();
  bool open = true;
  std::size_t first = n * quadratic_.terms();
  for (std::size_t j = 0; j < n; ++j) {
    resistance_[j] = 0.0;
    if (!table_.range_.throttled[j]) continue;
    const auto weights = share_weights(share[j]);
    for (std::size_t i = 0; i < shares.size(); ++i) resistance_[j] += weights[i] * coefficients_[first + i];
    first += shares.size();
    open = open && share[j] >= 1.0;
  }
  if (open) return false;
  // s (T* - T) + rho Q(T*) = 0 by Newton's method; nearly linear, so two or three steps do.
  std::vector<double> heat(n);
  for (int step = 0; step < 20; ++step) {
    quadratic_.heat(coefficients_, effective_, heat);
    quadratic_.slopes(coefficients_, effective_, slopes_);
    Matrix jacobian = as_matrix(slopes_, n);
    Vector rest(static_cast<Eigen::Index>(n));
    for (std::size_t j = 0; j < n; ++j) {
      const auto row = static_cast<Eigen::Index>(j);
      const double held = std::clamp(share[j], 0.0, 1.0);
      jacobian.row(row) *= resistance_[j];
      jacobian(row, row) += held;
      rest[row] = held * (temperature[j] - effective_[j]) - resistance_[j] * heat[j];
    }
    const Vector move = jacobian.partialPivLu().solve(rest);
    for (std::size_t j = 0; j < n; ++j) effective_[j] += move[static_cast<Eigen::Index>(j)];
    if (move.cwiseAbs().maxCoeff() < 1e-9) break;
  }
  return true;
}

void HeatLookup::heat(std::size_t setting, double speed, double yaw, std::span<const double> temperature,
                      std::span<const double> share, std::span<double> heat) {
  blend(setting, speed, yaw);
  const bool throttled = find_effective(temperature, share);
  quadratic_.heat(coefficients_, throttled ? std::span<const double>(effective_) : temperature, heat);
}

}  // namespace corefeed::cooling
