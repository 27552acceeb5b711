// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "cad_bridge/geometry/divide.hpp"
#include "cad_bridge/geometry/divide_split.hpp"

namespace corefeed::geometry {
namespace {

/// Slope of the equivalent radius below which the area counts as constant: a cone of 0.06 degrees.
constexpr double level_slope = 5e-4;
constexpr double least_change = 0.005;  ///< of ln(area), for a change of its own
constexpr double least_step = 0.02;     ///< of ln(area), for a step
constexpr double step_length = 0.3;     ///< in hydraulic diameters
constexpr double rounded_off = 0.001;   ///< of ln(area): sides continued miss a rounded corner by more
constexpr double bridged = 0.3;         ///< a level gap this short (hydraulic diameters) divides nothing

/// Intervals first..last-1 over which the area does one thing.
struct Region {
  std::size_t first = 0;
  std::size_t last = 0;
  int sense = 0;  ///< 1 grows, -1 falls, 0 constant
  bool step = false;
  double from = 0;
  double to = 0;
  double inlet_area = 0;
  double outlet_area = 0;

  double change() const { return std::log(outlet_area / inlet_area); }
};

class Finder {
 public:
  Finder(std::span<const PathSample> samples, const AreaAt& area_at) : samples_(samples), area_at_(area_at) {
    for (std::size_t j = 0; j + 1 < samples.size(); ++j) {
      const double length = samples[j + 1].distance - samples[j].distance;
      slope_.emplace_back((radius(j + 1) - radius(j)) / length, 0.0);
      length_.push_back(length);
    }
  }

  std::vector<AreaChange> run() {
    collect();
    drop_small();
    merge();
    divide_slopes();
    for (std::size_t i = 0; i + 1 < regions_.size(); ++i) place_boundary(regions_[i], regions_[i + 1]);
    std::vector<AreaChange> changes;
    for (const Region& region : regions_) {
      if (region.sense == 0 || std::abs(region.change()) < least_change) continue;
      const bool abrupt =
          std::abs(region.change()) >= least_step && region.to - region.from < step_length * diameter(region);
      changes.push_back(
          {region.from, region.to, region.inlet_area, region.outlet_area, region.step || abrupt});
    }
    return changes;
  }

 private:
  double radius(std::size_t i) const { return std::sqrt(samples_[i].area / std::numbers::pi); }
  double slope(std::size_t j) const { return slope_[j].x(); }
  double log_change(std::size_t j) const { return std::log(samples_[j + 1].area / samples_[j].area); }
  double diameter(const Region& region) const {
    return std::min(samples_[region.first].hydraulic_diameter, samples_[region.last].hydraulic_diameter);
  }

  Region make(std::size_t first, std::size_t last, int sense) const {
    Region region;
    region.first = first;
    region.last = last;
    region.sense = sense;
    region.from = samples_[first].distance;
    region.to = samples_[last].distance;
    region.inlet_area = samples_[first].area;
    region.outlet_area = samples_[last].area;
    return region;
  }

  int sense(std::size_t j) const { return std::abs(slope(j)) < level_slope ? 0 : (slope(j) > 0 ? 1 : -1); }

  /// Halves an interval whose area changes far more than its neighbors', towards the change. What is left of
  /// it in a thousandth of the interval is a jump.
  bool find_jump(std::size_t j, Region& jump) const {
    double beside = 0;
    if (j > 0) beside = std::max(beside, std::abs(slope(j - 1)));
    if (j + 1 < slope_.size()) beside = std::max(beside, std::abs(slope(j + 1)));
    const double change = log_change(j);
    if (std::abs(change) < least_step || (std::abs(slope(j)) < 3 * beside && std::abs(slope(j)) < 1))
      return false;
    jump = make(j, j + 1, change > 0 ? 1 : -1);
    for (int halving = 0; halving < 10; ++halving) {
      const double middle = 0.5 * (jump.from + jump.to);
      const double area = area_at_(middle);
      if (!(area > 0)) return false;
      const bool later =
          std::abs(std::log(jump.outlet_area / area)) > std::abs(std::log(area / jump.inlet_area));
      (later ? jump.from : jump.to) = middle;
      (later ? jump.inlet_area : jump.outlet_area) = area;
    }
    jump.step = std::abs(jump.change()) > 0.6 * std::abs(change);
    return jump.step;
  }

  void collect() {
    for (std::size_t j = 0; j < slope_.size(); ++j) {
      Region jump;
      if (find_jump(j, jump)) {
        regions_.push_back(jump);
        continue;
      }
      const int here = sense(j);
      if (regions_.empty() || regions_.back().step || regions_.back().sense != here) {
        regions_.push_back(make(j, j + 1, here));
      } else {
        regions_.back() = make(regions_.back().first, j + 1, here);
      }
    }
  }

  void drop_small() {
    for (Region& region : regions_) {
      if (!region.step && std::abs(region.change()) < least_change) region.sense = 0;
    }
  }

  /// Joins neighbors of one sense, also across a short level stretch between two changes of one sense.
  void merge() {
    std::vector<Region> merged;
    for (std::size_t i = 0; i < regions_.size(); ++i) {
      Region region = regions_[i];
      const bool inside = i > 0 && i + 1 < regions_.size() && !merged.empty();
      if (region.sense == 0 && inside && !merged.back().step && !regions_[i + 1].step &&
          merged.back().sense == regions_[i + 1].sense && merged.back().sense != 0 &&
          region.to - region.from < bridged * diameter(region)) {
        region.sense = merged.back().sense;
      }
      const bool joins =
          !merged.empty() && !merged.back().step && !region.step && merged.back().sense == region.sense;
      if (joins) {
        merged.back() = make(merged.back().first, region.last, region.sense);
      } else {
        merged.push_back(region);
      }
    }
    regions_ = std::move(merged);
  }

  void divide_slopes() {
    std::vector<Region> divided;
    for (const Region& region : regions_) divide_slopes(region, divided);
    regions_ = std::move(divided);
  }

  void divide_slopes(const Region& region, std::vector<Region>& out) const {
    const std::size_t count = region.last - region.first;
    const TwoLevels levels =
        two_levels({slope_.data() + region.first, count}, {length_.data() + region.first, count});
    if (region.sense == 0 || region.step || levels.second == 0) return out.push_back(region);
    const Region before = make(region.first, region.first + levels.second, region.sense);
    const Region after = make(region.first + levels.second, region.last, region.sense);
    if (std::min(std::abs(before.change()), std::abs(after.change())) < least_step)
      return out.push_back(region);
    divide_slopes(before, out);
    divide_slopes(after, out);
  }

  /// The area of a region continued beyond its samples; `forward` from its end, else from its start.
  /// Quadratic, which is exact for cones, pyramids and wedges. The samples at the boundary itself may be
  /// mixtures.
  double continued(const Region& region, bool forward, double at) const {
    const std::size_t count = region.last - region.first;
    if (region.sense == 0 || count < 4) {
      return samples_[forward ? std::max(region.first, region.last - 1)
                              : std::min(region.last, region.first + 1)]
          .area;
    }
    double value = 0;
    std::array<std::size_t, 3> at_sample{};
    const std::size_t spread = std::max<std::size_t>(1, std::min<std::size_t>(3, (count - 1) / 3));
    for (std::size_t k = 0; k < 3; ++k) {
      at_sample[k] = forward ? region.last - 1 - k * spread : region.first + 1 + k * spread;
    }
    for (std::size_t k = 0; k < 3; ++k) {
      double weight = samples_[at_sample[k]].area;
      for (std::size_t other = 0; other < 3; ++other) {
        if (other == k) continue;
        weight *= (at - samples_[at_sample[other]].distance) /
                  (samples_[at_sample[k]].distance - samples_[at_sample[other]].distance);
      }
      value += weight;
    }
    return value;
  }

  void place_boundary(Region& a, Region& b) const {
    if (a.step || b.step) {
      // A jump was found between samples: what stands beside it begins and ends there.
      if (a.step && !b.step) b.from = a.to;
      if (a.step && !b.step) b.inlet_area = a.outlet_area;
      if (b.step && !a.step) a.to = b.from;
      if (b.step && !a.step) a.outlet_area = b.inlet_area;
      return;
    }
    const double best = crossing(a, b);
    a.to = b.from = best;
    const double area = best == samples_[b.first].distance
                            ? samples_[b.first].area
                            : continued(a.sense == 0 ? a : b, a.sense == 0, best);
    a.outlet_area = b.inlet_area = area;
    // Where a change is rounded off, its sides continued meet beyond what the duct really has there.
    const double real = area_at_(best);
    if (!(real > 0)) return;
    const double off = std::abs(std::log(area / real));
    if (a.sense * b.sense < 0 && off > rounded_off) place_extremum(a, b);
    if (a.sense * b.sense == 0 && off > rounded_off) place_rounded_end(a, b, best);
    if (a.sense * b.sense > 0 && off > rounded_off) a.outlet_area = b.inlet_area = real;
  }

  /// Where two regions, continued, meet; the sample between them if they do not.
  double crossing(const Region& a, const Region& b) const {
    const double middle = samples_[b.first].distance;
    const double low = samples_[b.first - 1].distance;
    const double high = samples_[std::min(b.first + 1, samples_.size() - 1)].distance;
    const auto gap = [&](double at) { return continued(a, true, at) - continued(b, false, at); };
    double best = middle;
    double nearest = high - low;
    constexpr int parts = 8;
    for (int k = 0; k < parts; ++k) {
      double left = low + (high - low) * k / parts;
      double right = low + (high - low) * (k + 1) / parts;
      if ((gap(left) > 0) == (gap(right) > 0)) continue;
      const bool sign = gap(left) > 0;
      for (int halving = 0; halving < 40; ++halving) {
        const double half = 0.5 * (left + right);
        ((gap(half) > 0) == sign ? left : right) = half;
      }
      if (std::abs(left - middle) >= nearest) continue;
      nearest = std::abs(left - middle);
      best = left;
    }
    return best;
  }

  /// The boundary between a change that fades out and a constant area: where the area is constant but for
  /// `rounded_off`.
  void place_rounded_end(Region& a, Region& b, double changing) const {
    const std::size_t inside = a.sense == 0 ? b.first - 1 : std::min(b.first + 1, samples_.size() - 1);
    double constant = samples_[inside].distance;
    const double level = samples_[inside].area;
    for (int halving = 0; halving < 12; ++halving) {
      const double half = 0.5 * (changing + constant);
      const double area = area_at_(half);
      if (!(area > 0)) return;
      (std::abs(std::log(area / level)) > rounded_off ? changing : constant) = half;
    }
    const double area = area_at_(constant);
    if (!(area > 0)) return;
    a.to = b.from = constant;
    a.outlet_area = b.inlet_area = area;
  }

  /// The boundary at the narrowest (or widest) section between two changes of opposite sense, by golden
  /// section around the samples.
  void place_extremum(Region& a, Region& b) const {
    const double sign = a.sense < 0 ? 1.0 : -1.0;  // looks for the least of sign * area
    std::size_t extreme = b.first;
    const std::size_t first = std::max(a.first + 1, b.first >= 3 ? b.first - 3 : 1);
    for (std::size_t j = first; j + 1 < std::min(b.last, b.first + 4); ++j) {
      if (sign * samples_[j].area < sign * samples_[extreme].area) extreme = j;
    }
    double low = samples_[extreme - 1].distance;
    double high = samples_[std::min(extreme + 1, samples_.size() - 1)].distance;
    constexpr double ratio = 0.6180339887498949;
    for (int step = 0; step < 20; ++step) {
      const double left = high - ratio * (high - low);
      const double right = low + ratio * (high - low);
      if (sign * area_at_(left) < sign * area_at_(right)) {
        high = right;
      } else {
        low = left;
      }
    }
    const double found = area_at_(0.5 * (low + high));
    const bool better = found > 0.0 && sign * found <= sign * samples_[extreme].area;
    a.to = b.from = better ? 0.5 * (low + high) : samples_[extreme].distance;
    a.outlet_area = b.inlet_area = better ? found : samples_[extreme].area;
  }

  std::span<const PathSample> samples_;
  const AreaAt& area_at_;
  std::vector<Eigen::Vector2d> slope_;
  std::vector<double> length_;
  std::vector<Region> regions_;
};

}  // namespace

std::vector<AreaChange> find_area_changes(std::span<const PathSample> samples, const AreaAt& area_at) {
  if (samples.size() < 3) return {};
  return Finder(samples, area_at).run();
}

}  // namespace corefeed::geometry
